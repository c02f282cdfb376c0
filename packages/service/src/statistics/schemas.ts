/** Statistics on the wire. */
import { type Static, type TProperties, Type } from 'typebox'
import { MEASURE_IDS } from './measures.ts'
import { WIRE } from './query.ts'
import { REASONS } from './sums.ts'

const part = <P extends TProperties>(title: string, description: string, properties: P) =>
  Type.Object(properties, { title, description, additionalProperties: false })
const Count = (description: string) => Type.Integer({ minimum: 0, maximum: Number.MAX_SAFE_INTEGER, description })
const Low = Type.Optional(
  Type.Number({
    description: 'Lower end of the 95 % interval, in units of its own value; absent where it is not bounded.',
  }),
)
const High = Type.Optional(
  Type.Number({
    description: 'Upper end of the 95 % interval, in units of its own value; absent where it is not bounded.',
  }),
)

const IntervalIs = Type.Enum(['over-plants', 'upper-bound'], {
  description:
    '`over-plants`: clustered by plant. `upper-bound`: the sums of several years or groups were joined, in which a plant may stand more than once; the interval is at most as wide as told.',
})

export const MeasureId = Type.Enum([...MEASURE_IDS], {
  default: 'overall-plant-efficiency',
  description: 'Quantity of the run that stands for the usual condition.',
})

export const StatisticsMean = part('StatisticsMean', 'A mean over tests, with its interval over plants.', {
  value: Type.Number({ description: 'Mean, in units of its own measure.' }),
  low: Low,
  high: High,
  intervalIs: IntervalIs,
})

export const WeightedMean = part('WeightedMean', 'A ratio of sums: what each unit of the weight had on average.', {
  by: Type.Enum(['energy', 'volume'], { description: 'Weight: input energy of a year, or water of a year.' }),
  value: Type.Number({ description: 'Ratio of sums, in units of its own measure.' }),
  low: Low,
  high: High,
  intervalIs: IntervalIs,
  tests: Count('Tests with a weight; the others are left out of this mean.'),
  weight: Type.Number({ description: 'Sum of the weights in units of its own kind: joules, or cubic metres.' }),
})

export const StatisticsPercentile = part(
  'StatisticsPercentile',
  'A percentile with its interval by order statistics.',
  {
    percent: Type.Integer({ minimum: 1, maximum: 99, description: 'Share of tests below, in percent.' }),
    value: Type.Number({ description: 'In units of its own measure.' }),
    low: Low,
    high: High,
  },
)

export const HistogramBin = part('HistogramBin', 'A bar of the histogram.', {
  from: Type.Number({ description: 'Lower edge, in units of its own measure; belongs to the bar.' }),
  to: Type.Number({ description: 'Upper edge, in units of its own measure.' }),
  tests: Count('Tests in it.'),
})

export const PotentialSavings = part(
  'PotentialSavings',
  'Energy of a year that plants below a reference would not have used at it. No forecast.',
  {
    referenceIs: Type.Literal('group-percentile-75', {
      description: 'The 75th percentile of the group, at the edge of its bin.',
    }),
    reference: Type.Number({ description: 'Efficiency of the reference, a ratio.' }),
    energyJ: Type.Number({ description: 'Sum over plants below the reference, in J a year.' }),
    low: Type.Number({ description: 'Lower end in J a year, as if the errors of all tests were in one direction.' }),
    high: Type.Number({ description: 'Upper end in J a year, likewise.' }),
    resolvedJ: Type.Number({ description: 'Part in J a year of tests whose own interval lies below the reference.' }),
    unresolvedJ: Type.Number({ description: 'Part in J a year of tests whose own interval reaches the reference.' }),
  },
)

export const LeftOutOfStatistics = part('LeftOutOfStatistics', 'Tests of the group that are not counted, by reason.', {
  ...Object.fromEntries(REASONS.map((reason) => [camel(reason), Count(REASON_WORDS(reason))])),
  notResolved: Count('Counted tests that don’t resolve this measure, or whose value is beyond its span.'),
} as Record<string, ReturnType<typeof Count>>)

export function camel(name: string): string {
  return name.replace(/-([a-z])/g, (_, letter: string) => letter.toUpperCase())
}

function REASON_WORDS(reason: (typeof REASONS)[number]): string {
  switch (reason) {
    case 'in-question':
      return 'A finding holds them up.'
    case 'unsound':
      return 'A finding rejects them, or a hold was decided against.'
    case 'superseded':
      return 'A later version took their place.'
    case 'withdrawn':
      return 'They were taken back.'
    case 'another-in-the-year':
      return 'A later sound test of the plant in the same year counts.'
  }
}

export const StatisticsWeights = part('StatisticsWeights', 'How the energy of a year is known, in counted tests.', {
  bills: Count('From bills.'),
  hours: Count('Hours of a year times measured power.'),
  volume: Count('Water of a year times measured energy per volume.'),
  none: Count('Not known; no weight is given silently.'),
})

export const GroupValues = part(
  'GroupValues',
  'What the tests of the group have in common.',
  Object.fromEntries(
    Object.values(WIRE).map((name) => [
      name,
      Type.Optional(Type.String({ maxLength: 60, description: `The ${name} of the group.` })),
    ]),
  ) as Record<(typeof WIRE)[keyof typeof WIRE], ReturnType<typeof Type.Optional<ReturnType<typeof Type.String>>>>,
)

export const StatisticsGroup = part('StatisticsGroup', 'Figures of one group.', {
  group: GroupValues,
  tests: Count('Tests that count and resolve the measure.'),
  plants: Count('Plants among them; at least so many where intervals are upper bounds.'),
  leftOut: LeftOutOfStatistics,
  mean: Type.Optional(StatisticsMean),
  weightedMean: Type.Optional(WeightedMean),
  percentiles: Type.Array(StatisticsPercentile, {
    maxItems: 5,
    description: '10, 25, 50 (the median), 75 and 90 percent.',
  }),
  histogram: Type.Array(HistogramBin, { maxItems: 60, description: 'Counts of tests, lowest values first.' }),
  commonUncertaintyAtMost: Type.Optional(
    Type.Number({
      description:
        'Mean half-width of the tests’ own 95 % intervals of efficiency, a ratio: what would remain however many tests are averaged, if all their errors were common. Stands beside the interval of the mean, not in it.',
    }),
  ),
  potentialSavings: Type.Optional(PotentialSavings),
  weights: StatisticsWeights,
  editions: Type.Array(Type.String({ maxLength: 20, description: 'Method edition.' }), {
    maxItems: 50,
    description: 'Editions of the counted tests; more than one means that the figures mix them.',
  }),
  withheld: Type.Optional(
    Type.Literal('mixed-currencies', { description: 'No mean of costs in different currencies.' }),
  ),
  currency: Type.Optional(Type.String({ maxLength: 20, description: 'Currency of costs.' })),
  links: part('StatisticsLinks', 'Where the figures come from.', {
    tests: Type.String({ maxLength: 2_000, description: 'The tests of the group.' }),
  }),
})

export const AsOf = part('AsOf', 'What is in the figures.', {
  ledgerSize: Count('Entries of the ledger that are in the figures.'),
  madeFrom: Type.Enum(['cells', 'tests'], {
    description: '`cells`: sums kept up to date, and what came since. `tests`: added up for this answer.',
  }),
})

export const Statistics = part('Statistics', 'Grouped figures over tests.', {
  measure: MeasureId,
  unit: Type.String({ maxLength: 20, description: 'SI unit of all values of the measure.' }),
  of: Type.Enum(['own-tests', 'tests-given-to-the-program', 'all-tests'], { description: 'Whose tests these are.' }),
  oneTestAPlantAYear: Type.Literal(true, { description: 'Of each plant and year the last sound test counts.' }),
  percentileBound: Type.Number({
    description: 'How far a percentile may be from that of the values themselves, as a ratio.',
  }),
  notASample: Type.Literal('Tested plants are not a random sample of all plants.', {
    description: 'To be shown with the figures.',
  }),
  asOf: AsOf,
  items: Type.Array(StatisticsGroup, { maxItems: 5_000, description: 'Groups in the order of their values.' }),
})

export const TrendYear = part('TrendYear', 'All plants tested in a year.', {
  year: Type.Integer({ minimum: 1900, maximum: 9999, description: 'Year of the visit.' }),
  tests: Count('Tests, one a plant.'),
  mean: Type.Number({ description: 'Mean overall plant efficiency, a ratio.' }),
  low: Low,
  high: High,
})
export const PanelChange = part('PanelChange', 'The same plants in a year and the year before.', {
  year: Type.Integer({ minimum: 1900, maximum: 9999, description: 'The later year.' }),
  plants: Count('Plants with a counted test in both.'),
  meanChange: Type.Number({ description: 'Mean change of overall plant efficiency, a ratio.' }),
  low: Low,
  high: High,
})
export const TrendGroup = part('TrendGroup', 'All-tested and panel trend of a group.', {
  group: GroupValues,
  allTested: Type.Array(TrendYear, { maxItems: 300, description: 'Changes also with who comes to be tested.' }),
  panel: Type.Array(PanelChange, { maxItems: 300, description: 'The honest trend: the same plants, year to year.' }),
})
export const StatisticsTrend = part('StatisticsTrend', 'Overall plant efficiency over the years, two ways.', {
  notASample: Type.Literal('Tested plants are not a random sample of all plants.', {
    description: 'To be shown with the figures.',
  }),
  asOf: AsOf,
  items: Type.Array(TrendGroup, { maxItems: 1_000, description: 'Groups in the order of their values.' }),
})

export type Statistics = Static<typeof Statistics>
export type StatisticsGroup = Static<typeof StatisticsGroup>
export type StatisticsTrend = Static<typeof StatisticsTrend>
export type TrendGroup = Static<typeof TrendGroup>
