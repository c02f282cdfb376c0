/** Figures of a group, from its cells, as they are told. */
import { tickIncrement } from 'd3-array'
import { LRUCache } from 'lru-cache'
import { binOf, EDGES } from './bins.ts'
import { type Estimate, meanOf, percentileOf, ratioOf } from './estimate.ts'
import type { Group, Question } from './gather.ts'
import { EFFICIENCY, JOULES_PER_KWH, MEASURE_IDS, MEASURES, type MeasureId, PARTS, SPAN } from './measures.ts'
import { Counts, countsOf, type Part } from './part.ts'
import { type FilterQuery, groupOf, testsLink } from './query.ts'
import { potentialSavings } from './savings.ts'
import { camel, type StatisticsGroup } from './schemas.ts'
import { type RatioSlots, REASONS, read, SLOTS, type Slot } from './sums.ts'

const PERCENTS = [10, 25, 50, 75, 90] as const
const BARS = 16

/** Ratio of sums that goes with a measure; `scale` brings y ÷ w to its unit, `weightScale` the sum of w. */
const WEIGHTED: Partial<
  Record<
    MeasureId,
    {
      readonly by: 'energy' | 'volume'
      readonly slots: RatioSlots
      readonly scale: number
      readonly weightScale: number
    }
  >
> = {
  'overall-plant-efficiency': {
    by: 'energy',
    slots: SLOTS.ratios.efficiencyByEnergy,
    scale: 1 / PARTS,
    weightScale: JOULES_PER_KWH,
  },
  'energy-per-volume': { by: 'volume', slots: SLOTS.ratios.energyByVolume, scale: JOULES_PER_KWH, weightScale: 1 },
  'cost-per-volume': { by: 'volume', slots: SLOTS.ratios.costByVolume, scale: 1 / PARTS, weightScale: 1 },
}

const totalOf = (parts: readonly Part[], slot: Slot): number =>
  parts.reduce((sum, { sums }) => sum + read(sums, slot), 0)

function labelsOf(parts: readonly Part[], kind: 'edition' | 'currency'): string[] {
  const labels = new Set(parts.flatMap(({ cells }) => cells.flatMap((cell) => [...cell.labels.keys()])))
  return [...labels]
    .filter((label) => label.startsWith(`${kind} `))
    .map((label) => label.slice(kind.length + 1))
    .sort()
}

/** Ends of an interval; what is below nothing by nature isn’t told to be. */
export const ends = ({ value, halfWidth }: Estimate, scale: number): { low?: number; high?: number } =>
  halfWidth === undefined ? {} : { low: Math.max(0, (value - halfWidth) * scale), high: (value + halfWidth) * scale }

const intervalIs = ({ isBound }: Estimate): 'upper-bound' | 'over-plants' => (isBound ? 'upper-bound' : 'over-plants')

function meansOf(parts: readonly Part[], measure: MeasureId): Pick<StatisticsGroup, 'mean' | 'weightedMean'> {
  const n = MEASURE_IDS.indexOf(measure)
  const step = MEASURES[n]!.step
  const mean = meanOf(parts, SLOTS.measures[n]!)
  const weighted = WEIGHTED[measure]
  const ratio = weighted === undefined ? undefined : ratioOf(parts, weighted.slots)
  return {
    ...(mean !== undefined && {
      mean: { value: mean.value * step, ...ends(mean, step), intervalIs: intervalIs(mean) },
    }),
    ...(weighted !== undefined &&
      ratio !== undefined && {
        weightedMean: {
          by: weighted.by,
          value: ratio.value * weighted.scale,
          ...ends(ratio, weighted.scale),
          intervalIs: intervalIs(ratio),
          tests: ratio.tests,
          weight: totalOf(parts, weighted.slots.w) * weighted.weightScale,
        },
      }),
  }
}

function percentilesOf(counts: Counts, plants: number, step: number): StatisticsGroup['percentiles'] {
  return PERCENTS.flatMap((percent) => {
    const found = percentileOf(counts, percent / 100, plants)
    if (found === undefined) return []
    const { value, low, high } = found
    return {
      percent,
      value: value * step,
      ...(low !== undefined && { low: low * step }),
      ...(high !== undefined && { high: high * step }),
    }
  })
}

/** Bars between round values, each moved to the edge of a bin next to it, so that counts are exact. */
function histogramOf(counts: Counts, step: number): StatisticsGroup['histogram'] {
  const { first, last } = counts
  if (first === undefined || last === undefined) return []
  const [low, high] = [EDGES[first]!, EDGES[last + 1]!]
  const width = tickIncrement(low, high, BARS)
  // The increment of marks that lie closer than one is told as a negative divisor.
  const between = width > 0 ? width : 1
  const marks: number[] = []
  for (let mark = Math.floor(low / between); mark * between < high + between; mark++) marks.push(mark * between)
  const edges = [...new Set(marks.map((mark) => edgeFrom(mark)))]
  return edges.slice(0, -1).map((bin, n) => ({
    from: EDGES[bin]! * step,
    to: EDGES[edges[n + 1]!]! * step,
    tests: counts.below(edges[n + 1]!) - counts.below(bin),
  }))
}

/** Bin whose lower edge is the first at a value or above it. */
function edgeFrom(value: number): number {
  const bin = binOf(Math.min(value, SPAN - 1))
  return EDGES[bin]! < value ? bin + 1 : bin
}

/** What only efficiency has. */
function ofEfficiency(
  parts: readonly Part[],
  counts: Counts,
): Pick<StatisticsGroup, 'commonUncertaintyAtMost' | 'potentialSavings'> {
  const tests = totalOf(parts, SLOTS.widths.tests)
  if (tests === 0) return {}
  const third = percentileOf(counts, 0.75, 1)
  const savings = third === undefined ? undefined : potentialSavings(parts, binOf(Math.floor(third.value)))
  return {
    commonUncertaintyAtMost: (totalOf(parts, SLOTS.widths.sum) / tests) * MEASURES[EFFICIENCY].step,
    ...(savings !== undefined && { potentialSavings: savings }),
  }
}

type Figures = Omit<StatisticsGroup, 'group' | 'links'>

/** Figures of cells as they were stored are those of the last time: a cell that changes is another one. */
const known = new LRUCache<string, Figures>({ max: 4_000 })

/** Undefined where something came that is not in stored cells. */
function nameOf(parts: readonly Part[], measure: MeasureId): string | undefined {
  const ids = parts.map(({ cells }) => cells.map(({ id }) => id))
  return ids.flat().includes(undefined) ? undefined : `${measure} ${ids.map((own) => own.join(' ')).join(',')}`
}

export function figuresOf(
  { key, parts }: Group,
  { groupBy }: Question,
  measure: MeasureId,
  query: FilterQuery,
): StatisticsGroup {
  const group = groupOf(groupBy, key)
  const name = nameOf(parts, measure)
  const figures = (name === undefined ? undefined : known.get(name)) ?? makeFigures(parts, measure)
  if (name !== undefined) known.set(name, figures)
  return { group, ...figures, links: { tests: testsLink(query, group) } }
}

function makeFigures(parts: readonly Part[], measure: MeasureId): Figures {
  const n = MEASURE_IDS.indexOf(measure)
  const slots = SLOTS.measures[n]!
  const tests = totalOf(parts, slots.tests)
  const plants = parts.reduce((most, { sums }) => Math.max(most, read(sums, slots.plants)), 0)
  const currencies = labelsOf(parts, 'currency')
  const isMixed = measure === 'cost-per-volume' && currencies.length > 1
  const counts = isMixed ? new Counts([], []) : countsOf(parts, n)
  return {
    tests,
    plants,
    leftOut: {
      ...Object.fromEntries(REASONS.map((reason) => [camel(reason), totalOf(parts, SLOTS.left[reason])])),
      notResolved: totalOf(parts, SLOTS.counted) - tests,
    },
    ...(!isMixed && meansOf(parts, measure)),
    percentiles: percentilesOf(counts, plants, MEASURES[n]!.step),
    histogram: histogramOf(counts, MEASURES[n]!.step),
    ...(n === EFFICIENCY && ofEfficiency(parts, counts)),
    weights: {
      bills: totalOf(parts, SLOTS.weights.bills),
      hours: totalOf(parts, SLOTS.weights.hours),
      volume: totalOf(parts, SLOTS.weights.volume),
      none: totalOf(parts, SLOTS.weights.none),
    },
    editions: labelsOf(parts, 'edition'),
    ...(isMixed && { withheld: 'mixed-currencies' as const }),
    ...(measure === 'cost-per-volume' && currencies.length === 1 && { currency: currencies[0]! }),
  }
}
