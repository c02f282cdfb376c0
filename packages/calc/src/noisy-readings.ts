/**
 * The readings of a sheet that scatter by nature: columns, stopwatch times, levels, rates, powers. Two visits do not
 * give the same ones digit by digit, and honest ones do not all end in 0 or 5.
 */
import { logarithm } from './elementary.ts'
import { flowsOfRun } from './flow/flow-of-run.ts'
import type { SingleFlow } from './flow/list.ts'
import type { Run, Sheet } from './sheet.ts'
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

interface Written {
  readonly value?: number
  readonly repeats?: readonly number[]
  readonly low?: number
  readonly high?: number
  readonly unit: string
}

/** One group of readings, in the order of the sheet; a swing counts as its two ends. */
function groupOf(kind: NoisyKind, group: string, written: readonly Written[], stated?: Written): NoisyReading[] {
  const flat = written.flatMap(({ value, repeats, low, high, unit }) =>
    [value, ...(repeats ?? []), low, high].flatMap((one) => (one === undefined ? [] : [{ value: one, unit }])),
  )
  const steps = new Map<string, number>()
  for (const { value, unit } of flat)
    steps.set(unit, Math.min(steps.get(unit) ?? Number.POSITIVE_INFINITY, writtenStep(value)))
  const stepIn = (unit: string): number => Math.max(steps.get(unit)!, stated?.unit === unit ? stated.value! : 0)
  return flat.map(({ value, unit }) => ({
    kind,
    group,
    value,
    unit,
    step: stepIn(unit),
    stepStated: stated?.unit === unit,
  }))
}

function ofFlow(flow: SingleFlow, place: string): NoisyReading[] {
  if ('diameters' in flow) {
    return flow.diameters.flatMap(({ points, centre }, d) =>
      groupOf(
        'column',
        `${place}/diameters/${d}/points`,
        centre === undefined ? points : [...points, centre],
        flow.manometer.resolution,
      ),
    )
  }
  if ('rates' in flow) return groupOf('rate', `${place}/rates`, flow.rates)
  if ('velocities' in flow) return groupOf('rate', `${place}/velocities`, flow.velocities)
  if ('fillings' in flow)
    return groupOf(
      'timing',
      `${place}/fillings`,
      flow.fillings.map(({ elapsed }) => elapsed),
    )
  return []
}

/** Those of one run, in the order of the sheet. */
export function noisyReadingsOfRun(run: Run, index: number): NoisyReading[] {
  const place = `/runs/${index}`
  const found = groupOf('level', `${place}/pumpingLevel/series`, run.pumpingLevel?.series ?? [])
  for (const { readings, place: ofReadings } of flowsOfRun(run))
    found.push(...ofFlow(readings, `${place}/${ofReadings}`))
  const { power } = run
  if (power === undefined) return found
  if ('timings' in power) {
    const elapsed = power.timings.map((timing) => timing.elapsed)
    found.push(...groupOf('timing', `${place}/power/timings`, elapsed))
  } else if ('readings' in power) found.push(...groupOf('power', `${place}/power/readings`, power.readings))
  return found
}

/** All of them in the order of the sheet. */
export const noisyReadings = ({ standingLevel, runs }: Pick<Sheet, 'standingLevel' | 'runs'>): NoisyReading[] => [
  ...groupOf('level', '/standingLevel/repeats', standingLevel?.repeats ?? []),
  ...runs.flatMap(noisyReadingsOfRun),
]

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
