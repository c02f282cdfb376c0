/** What a cell that is told says: figures rounded to what their intervals support, and bars wide enough to hide in. */
import { contribute } from '../contribute.ts'
import { type Estimate, meanOf, percentileOf, ratioOf } from '../estimate.ts'
import { EFFICIENCY, JOULES_PER_KWH, MEASURE_IDS, MEASURES, type MeasureId, PARTS } from '../measures.ts'
import { countsOf, Part } from '../part.ts'
import { SLOTS } from '../sums.ts'
import type { FamilyId } from './families.ts'
import type { CountedTest } from './lattice.ts'
import { distinct, type Mark, RULES } from './rules.ts'

export interface Figure {
  readonly value: number | null
  readonly low?: number
  readonly high?: number
  readonly withheld?: Mark
}

/** A bar of the histogram; the outer edges are open, so that they don't tell the extremes. */
export interface Bar {
  readonly from?: number
  readonly to?: number
  readonly tests: number
  /** Several bars in one. */
  readonly mark?: 'merged'
}

export interface Figures {
  readonly figures: Readonly<Record<string, Figure>>
  readonly histogram?: readonly Bar[]
  /** Of the cell of all: tests that count and are in no cell yet. */
  readonly waiting?: number
}

/** Names of the figures of each family. */
export const FIGURES = {
  'overall-plant-efficiency': [
    'tests',
    'plants',
    'mean',
    'median',
    'percentile10',
    'percentile25',
    'percentile75',
    'percentile90',
  ],
  'energy-and-water': ['tests', 'plants', 'annualEnergy', 'annualWater', 'energyWeightedEfficiency', 'energyPerVolume'],
  'standing-water-level': ['tests', 'plants', 'mean', 'median'],
} as const satisfies Record<FamilyId, readonly string[]>
export type FigureName = (typeof FIGURES)[FamilyId][number]

const all = (family: FamilyId, figure: Figure): Record<string, Figure> =>
  Object.fromEntries(FIGURES[family].map((name) => [name, figure]))

/** A cell that is withheld says why, and nothing else. */
export const withheldFigures = (family: FamilyId, mark: Mark): Figures => ({
  figures: all(family, { value: null, withheld: mark }),
})

export function figuresOfCell(family: FamilyId, tests: readonly CountedTest[]): Figures {
  if (tests.length === 0) {
    const none = all(family, { value: null, withheld: 'not measured' })
    return { figures: { ...none, tests: { value: 0 }, plants: { value: 0 } } }
  }
  const part = partOf(tests)
  const counts = {
    tests: { value: roundedCount(tests.length) },
    plants: { value: roundedCount(distinct(tests, ({ plant }) => plant)) },
  }
  switch (family) {
    case 'overall-plant-efficiency':
      return {
        figures: { ...counts, ...spreadOf(part, tests, 'overall-plant-efficiency', [10, 25, 75, 90]) },
        ...histogramOf(tests),
      }
    case 'energy-and-water':
      return { figures: { ...counts, ...useOf(part) } }
    case 'standing-water-level':
      return { figures: { ...counts, ...spreadOf(part, tests, 'standing-water-level', []) } }
  }
}

function partOf(tests: readonly CountedTest[]): Part {
  const byPlant = new Map<string, CountedTest[]>()
  for (const test of tests) byPlant.set(test.plant, [...(byPlant.get(test.plant) ?? []), test])
  const part = new Part()
  for (const own of byPlant.values()) {
    contribute(
      own.map(({ row }) => ({ test: row })),
      [],
      () => part.since,
    )
  }
  return part
}

export const roundedCount = (count: number): number => Math.round(count / RULES.countsRoundedTo) * RULES.countsRoundedTo

/** Of figures whose interval isn't known, and of sums: so many digits. */
const DIGITS = 3

/** The place down to which digits mean something: that of the first digit of the half-width. */
function stepOf(value: number, halfWidth: number | undefined): number {
  const size = halfWidth === undefined || halfWidth === 0 ? Math.abs(value) * 10 ** (1 - DIGITS) : halfWidth
  return size === 0 ? 1 : 10 ** Math.floor(Math.log10(size))
}

/** To a multiple of a power of ten, without the digits that binary fractions leave. */
const toStep = (value: number, step: number, round: (value: number) => number = Math.round): number =>
  Number((round(value / step) * step).toPrecision(12))

function rounded({ value, halfWidth }: Pick<Estimate, 'value' | 'halfWidth'>, scale: number): Figure {
  const step = stepOf(value * scale, halfWidth === undefined ? undefined : halfWidth * scale)
  if (halfWidth === undefined) return { value: toStep(value * scale, step) }
  return {
    value: toStep(value * scale, step),
    low: Math.max(0, toStep((value - halfWidth) * scale, step, Math.floor)),
    high: toStep((value + halfWidth) * scale, step, Math.ceil),
  }
}

const NOT_MEASURED: Figure = { value: null, withheld: 'not measured' }

/** Mean, median and percentiles of a measure. */
function spreadOf(
  part: Part,
  tests: readonly CountedTest[],
  measure: MeasureId,
  percents: readonly number[],
): Record<string, Figure> {
  const n = MEASURE_IDS.indexOf(measure)
  const { step } = MEASURES[n]!
  const mean = meanOf([part], SLOTS.measures[n]!)
  const plants = distinct(tests, ({ plant }) => plant)
  const told = (percent: number): Figure => {
    const found = percentileOf(countsOf([part], n), percent / 100, plants)
    if (found === undefined || mean === undefined) return NOT_MEASURED
    // As many digits as the mean has: a percentile is known no better, and stands for a plant.
    return { value: toStep(found.value * step, stepOf(mean.value * step, (mean.halfWidth ?? 0) * step)) }
  }
  const isFew = plants < RULES.percentilesFromPlants
  return {
    mean: mean === undefined ? NOT_MEASURED : rounded(mean, step),
    median: told(50),
    ...Object.fromEntries(
      percents.map((percent) => [
        `percentile${percent}`,
        isFew ? { value: null, withheld: 'too few' as const } : told(percent),
      ]),
    ),
  }
}

/** Energy and water of a year, in J and m³, and what they come to in each other. */
function useOf(part: Part): Record<string, Figure> {
  const { efficiencyByEnergy, energyByVolume } = SLOTS.ratios
  const weighted = ratioOf([part], efficiencyByEnergy)
  const perVolume = ratioOf([part], energyByVolume)
  const sum = (slot: (typeof energyByVolume)['w'], scale: number): Figure =>
    rounded({ value: part.sums[slot.at]! * scale }, 1)
  return {
    annualEnergy: sum(efficiencyByEnergy.w, JOULES_PER_KWH),
    annualWater: sum(energyByVolume.w, 1),
    energyWeightedEfficiency: weighted === undefined ? NOT_MEASURED : rounded(weighted, 1 / PARTS),
    energyPerVolume: perVolume === undefined ? NOT_MEASURED : rounded(perVolume, JOULES_PER_KWH),
  }
}

const BAR = 0.05
const BARS = Math.round(1 / BAR)

const canBeBar = (tests: readonly CountedTest[]): boolean =>
  distinct(tests, ({ plant }) => plant) >= RULES.histogramBinPlantsMin &&
  distinct(tests, ({ customer }) => customer) >= RULES.histogramBinCustomersMin

/** Bars of a twentieth, each joined with the next until it holds enough; absent with fewer plants than percentiles need. */
function histogramOf(tests: readonly CountedTest[]): { readonly histogram?: readonly Bar[] } {
  if (distinct(tests, ({ plant }) => plant) < RULES.percentilesFromPlants) return {}
  const edgeOf = (bar: number): number => toStep(bar * BAR, BAR)
  const barOf = ({ row }: CountedTest): number => Math.min(BARS - 1, Math.floor(row.efficiency! / BAR))
  const joinedBars: { from: number; to: number; tests: CountedTest[] }[] = []
  let open: CountedTest[] = []
  let from = 0
  for (let bar = 0; bar < BARS; bar++) {
    open.push(...tests.filter((test) => barOf(test) === bar))
    if (!canBeBar(open)) continue
    joinedBars.push({ from, to: bar + 1, tests: open })
    open = []
    from = bar + 1
  }
  const last = joinedBars.at(-1)
  if (last === undefined) return {}
  last.tests.push(...open)
  last.to = BARS
  return {
    histogram: joinedBars.map((bar, n) => ({
      ...(n > 0 && { from: edgeOf(bar.from) }),
      ...(bar !== last && { to: edgeOf(bar.to) }),
      tests: roundedCount(bar.tests.length),
      ...((n === 0 || bar === last || bar.to - bar.from > 1) && { mark: 'merged' as const }),
    })),
  }
}

/** For the efficiency of a firm's own tests beside its peers'. */
export function ownMean(tests: readonly CountedTest[]): number | undefined {
  const mean = meanOf([partOf(tests)], SLOTS.measures[EFFICIENCY]!)
  return mean === undefined ? undefined : mean.value * MEASURES[EFFICIENCY].step
}
