/** Facts of the water levels: when they were read, how they moved, how they were come by. */
import { secondsOf } from '../instants.ts'
import { columnsOf, depthsOf } from '../level/depths.ts'
import type { LevelReading } from '../level/list.ts'
import type { Run, Sheet } from '../sheet.ts'
import { toSi } from '../units.ts'
import type { Visit } from '../visit.ts'
import type { Facts } from './facts.ts'

/** True if the standing level was read after the last stop of the pump on this visit: the well had come back. */
function readByRecovery(sheet: Sheet, standingLevelAt: number): boolean {
  let stopped: number | undefined
  for (const { pumpStoppedAt } of sheet.runs)
    if (pumpStoppedAt !== undefined) stopped = Math.max(stopped ?? 0, secondsOf(pumpStoppedAt))
  return stopped !== undefined && standingLevelAt > stopped
}

/** Since when the well has been drawn from as in this run: start of the pump, or the last change of its duty. */
function dutySince({ pumpStartedAt, dutyChangedAt }: Run): number | undefined {
  const moments = [pumpStartedAt, dutyChangedAt].flatMap((at) => (at === undefined ? [] : [secondsOf(at)]))
  return moments.length === 0 ? undefined : Math.max(...moments)
}

const spreadOf = (values: readonly number[]): number => Math.max(...values) - Math.min(...values)

function collectStanding(standing: LevelReading, sheet: Sheet, density: number, facts: Facts): void {
  const { depth, at, repeats } = depthsOf(standing, density)
  if (at !== undefined) {
    facts.standingLevelAt = secondsOf(at)
    facts.standingByRecovery = readByRecovery(sheet, facts.standingLevelAt)
  }
  facts.standingMark = standing.mark
  if (repeats.length >= 2) facts.standingRepeatSpread = spreadOf(repeats)
  if (repeats.length > 0) facts.readingOffRepeats = Math.min(...repeats.map((repeat) => Math.abs(repeat - depth)))
}

/** What only some ways of reading a level know. */
function collectMethod(level: LevelReading, density: number, isPumping: boolean, facts: Facts): void {
  if (level.method === 'acoustic') facts.acousticLevel = true
  if ('oil' in level && level.oil !== undefined) {
    facts.oilOnWater = true
    facts.oilThicknessRead = (facts.oilThicknessRead ?? true) && level.oil.thickness !== undefined
  }
  if (level.cascadingWater === true) facts.cascadingWater = true
  if (level.method !== 'air-line') return
  const columns = columnsOf(level, density)
  const highest = Math.max(...columns)
  facts.airLineLength = toSi(level.airLineLength, 'length')
  facts.airLineLengthChecked = level.airLineLengthBasis === 'checked-with-sounder'
  facts.airLineHighestColumn = Math.max(facts.airLineHighestColumn ?? highest, highest)
  if (isPumping) facts.airLineColumn = columns.reduce((sum, each) => sum + each, 0) / columns.length
  if (columns.length >= 2) facts.airLineSpread = Math.max(facts.airLineSpread ?? 0, spreadOf(columns))
}

/** Fills in what the levels of a run say; `density` in kg/m³ is that of its water. */
export function collectLevels(run: Run, { sheet, edition }: Visit, density: number, facts: Facts): void {
  const standing = sheet.standingLevel
  const pumping = run.pumpingLevel
  if (standing !== undefined) {
    collectStanding(standing, sheet, density, facts)
    collectMethod(standing, density, false, facts)
  }
  if (sheet.pumpStoppedBefore !== undefined) facts.restTime = toSi(sheet.pumpStoppedBefore.restTime, 'time')
  if (pumping === undefined) return
  collectMethod(pumping, density, true, facts)
  facts.pumpingMark = pumping.mark
  if (standing !== undefined)
    facts.markOffsetKnown =
      standing.measuringPointAboveDatum !== undefined && pumping.measuringPointAboveDatum !== undefined
  const { depth, at, series } = depthsOf(pumping, density)
  facts.levelReadingCount = series.length === 0 ? 1 : series.length
  const settlesFrom = dutySince(run)
  if (at !== undefined && settlesFrom !== undefined) facts.settleTime = secondsOf(at) - settlesFrom
  const last = series.at(-1)
  if (last !== undefined) facts.readingOffSeries = Math.abs(depth - last.depth)
  if (last?.at === undefined) return
  const lastAt = secondsOf(last.at)
  // The earliest level that is not older than the window before the last one.
  const { levelWindowS } = edition.settings
  const earliest = series.find((each) => each.at !== undefined && secondsOf(each.at) >= lastAt - levelWindowS)
  if (earliest === undefined || earliest === last) return
  facts.levelWindow = levelWindowS
  facts.levelChange = last.depth - earliest.depth
}
