/**
 * The readings of a sheet that scatter by nature: columns, stopwatch times, levels, rates, powers. Two visits do not
 * give the same ones digit by digit, and honest ones do not all end in 0 or 5.
 */
import { logarithm } from './elementary.ts'
import { flowsOfRun } from './flow/flow-of-run.ts'
import type { SingleFlow } from './flow/list.ts'
import type { Sheet } from './sheet.ts'
import { fromSi, isUnitOf } from './units.ts'
import { writtenStep } from './written-step.ts'

/** How much each kind usually scatters: a share of the reading, or a size of its own in SI. */
const USUAL_SCATTER = {
  column: { share: 0.02 },
  timing: { size: 0.15, dimension: 'time' },
  level: { size: 0.03, dimension: 'length' },
  rate: { share: 0.006 },
  power: { share: 0.005 },
} as const
export type NoisyKind = keyof typeof USUAL_SCATTER

export interface NoisyReading {
  readonly kind: NoisyKind
  /** JSON Pointer of the readings it was made with. */
  readonly group: string
  readonly value: number
  readonly unit: string
  /** Smallest step that the readings of its group show, or that the sheet states; in `unit`. */
  readonly step: number
  readonly stepStated: boolean
}

type Written = { -readonly [M in keyof NoisyReading]: NoisyReading[M] }

interface Read {
  readonly value?: number
  readonly repeats?: readonly number[]
  readonly low?: number
  readonly high?: number
  readonly unit: string
}

/** Decimal steps, and how many of each make one. Looked up: writing each number out takes most of the time otherwise. */
const STEPS = [1, 0.1, 0.01, 0.001, 0.0001, 0.00001]
const STEPS_OF_ONE = [1, 10, 100, 1_000, 10_000, 100_000]

function stepOf(value: number): number {
  for (let i = 0; i < STEPS.length; i++) {
    const steps = value * STEPS_OF_ONE[i]!
    if (Math.abs(steps - Math.round(steps)) <= 1e-9 * Math.max(1, Math.abs(steps))) return STEPS[i]!
  }
  return writtenStep(value)
}

/** Adds one group of readings, in the order of the sheet; a swing counts as its two ends. */
function addGroup(
  into: Written[],
  kind: NoisyKind,
  group: string,
  readings: readonly Read[],
  stated?: { readonly value: number; readonly unit: string },
): void {
  const start = into.length
  for (const { value, repeats, low, high, unit } of readings) {
    const stepStated = stated !== undefined && stated.unit === unit
    const step = (one: number) => into.push({ kind, group, value: one, unit, step: stepOf(one), stepStated })
    if (value !== undefined) step(value)
    if (repeats !== undefined) for (const one of repeats) step(one)
    if (low !== undefined) step(low)
    if (high !== undefined) step(high)
  }
  // What the finest of a unit shows, all of them could have shown.
  for (let i = start; i < into.length; i++) {
    const one = into[i]!
    for (let j = start; j < into.length; j++)
      if (into[j]!.unit === one.unit && into[j]!.step < one.step) one.step = into[j]!.step
  }
  if (stated === undefined) return
  for (let i = start; i < into.length; i++) {
    const one = into[i]!
    if (one.stepStated && one.step < stated.value) one.step = stated.value
  }
}

function addFlow(into: Written[], flow: SingleFlow, place: string): void {
  if ('diameters' in flow) {
    flow.diameters.forEach(({ points, centre }, d) => {
      const columns = centre === undefined ? points : [...points, centre]
      addGroup(into, 'column', `${place}/diameters/${d}/points`, columns, flow.manometer.resolution)
    })
  } else if ('rates' in flow) addGroup(into, 'rate', `${place}/rates`, flow.rates)
  else if ('velocities' in flow) addGroup(into, 'rate', `${place}/velocities`, flow.velocities)
  else if ('fillings' in flow) addGroup(into, 'timing', `${place}/fillings`, flow.fillings.map(timeOf))
}

const timeOf = ({ elapsed }: { readonly elapsed: Read }): Read => elapsed

/** All of them in the order of the sheet. */
export function noisyReadings({ standingLevel, runs }: Pick<Sheet, 'standingLevel' | 'runs'>): NoisyReading[] {
  const found: Written[] = []
  // Repeats of a pressure scatter otherwise than levels do; only depths are looked at.
  if (standingLevel !== undefined && 'reading' in standingLevel)
    addGroup(found, 'level', '/standingLevel/repeats', standingLevel.repeats ?? [])
  runs.forEach((run, r) => {
    const place = `/runs/${r}`
    const level = run.pumpingLevel
    if (level !== undefined && 'reading' in level)
      addGroup(found, 'level', `${place}/pumpingLevel/series`, level.series ?? [])
    for (const { readings, place: ofReadings } of flowsOfRun(run)) addFlow(found, readings, `${place}/${ofReadings}`)
    const { power } = run
    if (power === undefined) return
    if ('timings' in power) addGroup(found, 'timing', `${place}/power/timings`, power.timings.map(timeOf))
    else if ('readings' in power) addGroup(found, 'power', `${place}/power/readings`, power.readings)
  })
  return found
}

/**
 * Order of magnitude of the odds that two readings of this kind are not equal by chance: log10 of the steps that four
 * standard deviations of its usual scatter span; never below zero.
 */
export function surpriseOf({ kind, value, unit, step }: NoisyReading): number {
  const scatter = USUAL_SCATTER[kind]
  let deviation: number
  if ('share' in scatter) deviation = Math.abs(value) * scatter.share
  else if (isUnitOf(unit, scatter.dimension)) deviation = fromSi(scatter.size, unit, scatter.dimension)
  else return 0
  return logarithm(Math.max(1, (4 * deviation) / step)) / Math.LN10
}
