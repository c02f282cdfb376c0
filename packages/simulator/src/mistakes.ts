/** Clumsy mistakes: what happens to honest people with a pencil. Each changes an honest sheet in one way. */
import type { Sheet } from '@liftledger/calc'
import type { Random } from './random.ts'
import { clockOf } from './reading.ts'

type Run = Sheet['runs'][number]

export interface Mistake {
  readonly id: string
  readonly title: string
  /** Changes the sheet; false where the sheet has nothing that it could be made with. */
  readonly make: (sheet: Sheet, run: Run, random: Random) => boolean
}

const multiplierForgotten: Mistake = {
  id: 'multiplier-forgotten',
  title: 'The multiplier of the utility meter was taken for one',
  make: (_, { power }) => {
    if (power === undefined || !('multiplier' in power) || power.multiplier === undefined) return false
    power.multiplier = { value: 1, unit: '1' }
    return true
  },
}

/** The level, if it was read by sounder. */
const sounded = (level: Sheet['standingLevel']) => (level?.method === 'electric-sounder' ? level : undefined)

const levelsExchanged: Mistake = {
  id: 'levels-exchanged',
  title: 'Standing and pumping level were exchanged',
  make: (sheet, run) => {
    const [standing, pumping] = [sounded(sheet.standingLevel)?.reading, sounded(run.pumpingLevel)?.reading]
    if (standing === undefined || pumping === undefined) return false
    ;[standing.value, pumping.value] = [pumping.value, standing.value]
    return true
  },
}

const pressureInOtherUnit: Mistake = {
  id: 'pressure-in-other-unit',
  title: 'A pressure read in kPa was written as psi',
  make: (_, { dischargePressure }) => {
    if (dischargePressure === undefined) return false
    dischargePressure.reading.value = Math.round(dischargePressure.reading.value * 6.894757)
    return true
  },
}

const outsideForInside: Mistake = {
  id: 'outside-for-inside',
  title: 'The outside diameter was written as the inside one',
  make: (_, { flow }) => {
    const inside = flow !== undefined && 'pipe' in flow ? flow.pipe?.insideDiameters : undefined
    if (inside === undefined) return false
    for (const diameter of inside) diameter.value = Math.round((diameter.value + 0.5) * 100) / 100
    return true
  },
}

const timingOffByOne: Mistake = {
  id: 'timing-off-by-one',
  title: 'One turn of the disk was missed in a timing',
  make: (_, { power }) => {
    if (power?.method !== 'meter-revolutions') return false
    const timing = power.timings[1]
    if (timing === undefined) return false
    timing.elapsed.value =
      Math.round(((timing.elapsed.value * (timing.revolutions.value + 1)) / timing.revolutions.value) * 10) / 10
    return true
  },
}

const digitsExchanged: Mistake = {
  id: 'digits-exchanged',
  title: 'Two digits of a level were exchanged',
  make: (_, run) => {
    const pumpingLevel = sounded(run.pumpingLevel)
    if (pumpingLevel === undefined) return false
    const text = pumpingLevel.reading.value.toFixed(1)
    const [a, b] = [text[0]!, text[1]!]
    if (a === b || b === '.' || b === '0') return false
    pumpingLevel.reading.value = Number(b + a + text.slice(2))
    return true
  },
}

const tooEarly: Mistake = {
  id: 'too-early',
  title: 'The pumping level was read minutes after the pump was started',
  make: (_, run, random) => {
    const level = sounded(run.pumpingLevel)
    if (run.pumpStartedAt === undefined || level?.reading.at === undefined) return false
    const early = level.reading.at.slice(11, 16).split(':').map(Number) as [number, number]
    const minutes = early[0] * 60 + early[1] - random.whole(4, 9)
    run.pumpStartedAt = clockOf(level.reading.at.slice(0, 10))(minutes)
    // What was read while the water still fell is not there to tell.
    if (level.series !== undefined) level.series = level.series.slice(-1)
    return true
  },
}

const pointReversed: Mistake = {
  id: 'point-reversed',
  title: 'One point of a traverse got a minus',
  make: (_, { flow }, random) => {
    if (flow?.method !== 'pitot-traverse') return false
    const point = random.pick(flow.diameters[0]!.points)
    if (point.value === undefined) return false
    point.value = -point.value
    return true
  },
}

const pressureLeftOut: Mistake = {
  id: 'pressure-left-out',
  title: 'The discharge pressure was not written down',
  make: (_, run) => {
    if (run.dischargePressure === undefined) return false
    delete run.dischargePressure
    return true
  },
}

const volumeOfAllPlants: Mistake = {
  id: 'volume-of-all-plants',
  title: 'The annual volume of the whole farm was given for one plant',
  make: (sheet) => {
    const volume = sheet.economics?.annualVolume
    if (volume === undefined) return false
    volume.value *= 20
    return true
  },
}

export const mistakes: readonly Mistake[] = [
  multiplierForgotten,
  levelsExchanged,
  pressureInOtherUnit,
  outsideForInside,
  timingOffByOne,
  digitsExchanged,
  tooEarly,
  pointReversed,
  pressureLeftOut,
  volumeOfAllPlants,
]

/** Makes one mistake that this sheet allows; answers its id. */
export function makeMistake(random: Random, sheet: Sheet): string {
  const run = sheet.runs[0]!
  const left = [...mistakes]
  while (left.length > 0) {
    const [mistake] = left.splice(random.whole(0, left.length - 1), 1)
    if (mistake!.make(sheet, run, random)) return mistake!.id
  }
  throw new Error('No mistake can be made with this sheet: it has neither pressure nor economics.')
}
