/** Levels, pressures and heights as they would be read. */
import type { Sheet } from '@liftledger/calc'
import { type Carried, type Kit, scaleOn } from './kit.ts'
import type { Random } from './random.ts'
import { type Clock, toStep, written } from './reading.ts'
import { FOOT, INCH, PSI } from './units.ts'

type Run = Sheet['runs'][number]
type Level = NonNullable<Sheet['standingLevel']>
type Pressure = NonNullable<Run['dischargePressure']>

/** Heights are taken with a tape along a pipe (common practice). */
const TAPE_FEET = 0.1
/** One sounding after the other at the same water (common practice). */
const SOUNDING_NOISE = 0.006

const stepOf = ({ record }: Carried): number => record.resolution?.value ?? 0.1

/** What a sounder shows at a depth in m, in feet. */
const sounded = (random: Random, sounder: Carried, depth: number) =>
  written((depth * (1 + sounder.scale) + sounder.offset + random.normal(SOUNDING_NOISE)) / FOOT, 'ft', stepOf(sounder))

/** A standing level with two repeats, before the pump is started. */
export function writeStanding(random: Random, sounder: Carried, depth: number, clock: Clock, at: number): Level {
  return {
    method: 'electric-sounder',
    mark: 'access-edge',
    reading: { ...sounded(random, sounder, depth), at: clock(at) },
    repeats: [sounded(random, sounder, depth), sounded(random, sounder, depth)],
  }
}

/** A pumping level followed until it stands: the last reading is the level. */
export function writePumping(
  random: Random,
  sounder: Carried,
  depth: number,
  drawdown: number,
  clock: Clock,
  minutes: readonly number[],
): Level {
  const slowness = random.between(3, 5)
  const started = minutes[0]!
  const left = 0.12 * drawdown
  const series = minutes.map((at) => ({
    ...sounded(random, sounder, depth - left * Math.exp(-(at - started) / slowness)),
    at: clock(at),
  }))
  const { value, unit, at } = series.at(-1)!
  return { method: 'electric-sounder', mark: 'access-edge', reading: { value, unit, at }, series }
}

/** A height read with a tape, in feet. */
export const writeHeight = (random: Random, height: number) =>
  written(height / FOOT + random.within(TAPE_FEET), 'ft', 0.1)

/** A gauge at a tap, and its height; `pressure` in Pa is that at the centre of the discharge pipe. */
export function writeGauge(
  random: Random,
  gauge: Carried,
  pressure: number,
  yearsSinceStart: number,
  weight: number,
): Pressure {
  const step = stepOf(gauge)
  const fullScale = gauge.record.fullScale!.value
  const height = random.between(-1, 3) * FOOT
  const zero = toStep(gauge.offset * fullScale, step)
  const atGauge = (pressure - weight * height) / PSI
  const shown = atGauge + (scaleOn(gauge, yearsSinceStart) + gauge.offset) * fullScale
  return {
    reading: written(shown, 'psi', step),
    gaugeZero: { value: zero, unit: 'psi' },
    swing: { value: step, unit: 'psi' },
    gaugeHeightAboveDischargeCentre: writeHeight(random, height),
  }
}

/** The gauge for a pressure: the smallest whose scale is not filled by it. */
export const gaugeFor = (kit: Kit, pressure: number): Carried =>
  kit.gauges.find(({ record }) => pressure / PSI < 0.85 * record.fullScale!.value) ?? kit.gauges.at(-1)!

export interface SuctionScene {
  readonly suctionHead: number
  readonly suctionDiameter: number | undefined
  /** Weight of a cubic metre of the water in N. */
  readonly weight: number
  readonly kit: Kit
  readonly yearsSinceStart: number
}

export function writeSuction(random: Random, scene: SuctionScene): NonNullable<Run['suction']> {
  const { suctionHead, suctionDiameter, weight, kit, yearsSinceStart } = scene
  if (suctionDiameter === undefined)
    return { method: 'open-surface', waterSurfaceAboveDischargeCentre: writeHeight(random, suctionHead) }
  const read = writeGauge(random, kit.vacuumGauge, suctionHead * weight, yearsSinceStart, weight)
  return {
    method: 'gauge',
    ...read,
    insideDiameterAtTap: written((suctionDiameter * (1 + random.within(0.005))) / INCH, 'in', 0.01),
  }
}
