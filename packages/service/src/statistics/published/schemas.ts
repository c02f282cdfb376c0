/** Published statistics on the wire. */
import { type Static, type TProperties, Type } from 'typebox'
import { Page } from '../../http/cursor.ts'
import { NOT_A_SAMPLE } from '../charts/words.ts'
import { WIRE } from '../query.ts'
import { FAMILY_IDS } from './families.ts'
import { FIGURES, type FigureName } from './figures.ts'
import { LATTICE } from './lattice.ts'
import { MARKS, type RULES } from './rules.ts'

const part = <P extends TProperties>(title: string, description: string, properties: P) =>
  Type.Object(properties, { title, description, additionalProperties: false })
const Count = (description: string) => Type.Integer({ minimum: 0, maximum: Number.MAX_SAFE_INTEGER, description })

export const Month = Type.String({
  pattern: '^[0-9]{4}-(0[1-9]|1[0-2])$',
  minLength: 7,
  maxLength: 7,
  description: 'Month at whose end it was published, such as `2026-10`.',
})
export const FiguresOf = Type.Enum([...FAMILY_IDS], {
  default: 'overall-plant-efficiency',
  description: 'Which figures: those that could be reckoned from each other are withheld together.',
})

const RULE_WORDS: Record<keyof typeof RULES, string> = {
  plantsMin: 'A cell holds at least so many plants,',
  customersMin: 'of at least so many customers; also without the tests of any one firm.',
  dominanceCustomers: 'So many largest customers',
  dominancePercent: 'hold at most so many percent of energy and of water.',
  percentilesFromPlants: 'Percentiles other than the median, and histograms, from so many plants on.',
  histogramBinPlantsMin: 'A bar of a histogram holds at least so many plants,',
  histogramBinCustomersMin: 'of at least so many customers.',
  changeCustomersMin:
    'A cell changes when tests of at least so many customers enter or leave it together; others wait.',
  countsRoundedTo: 'Counts are rounded to multiples of this.',
}
export const DisclosureRules = part(
  'DisclosureRules',
  'By which rules cells were withheld. There is one more, the p percent rule, whose parameter is not told.',
  Object.fromEntries(Object.entries(RULE_WORDS).map(([name, words]) => [name, Count(words)])) as Record<
    keyof typeof RULES,
    ReturnType<typeof Count>
  >,
)

const NAMES = {
  '': 'told',
  'too few': 'tooFew',
  dominated: 'dominated',
  'protects another cell': 'protectsAnotherCell',
}
export const CellCounts = part(
  'CellCounts',
  'Cells over all figures, told and withheld, by the rule that withheld them.',
  {
    told: Count('Told.'),
    tooFew: Count('Withheld: too few plants or customers; its tests are in no other cell either.'),
    dominated: Count('Withheld: one or two customers hold too much.'),
    protectsAnotherCell: Count('Withheld: a cell that is withheld could be reckoned from them.'),
  },
)

export const countsOf = (marks: Readonly<Record<string, number>>): Static<typeof CellCounts> =>
  Object.fromEntries(Object.entries(NAMES).map(([mark, name]) => [name, Number(marks[mark] ?? 0)])) as Static<
    typeof CellCounts
  >

const summary = {
  month: Month,
  publishedAt: Type.String({
    format: 'date-time',
    maxLength: 40,
    description: 'When it was decided; it never changes.',
  }),
  ledgerSize: Count('Entries of the ledger up to which tests were looked at.'),
  cells: CellCounts,
  rules: DisclosureRules,
}
export const PublishedMonth = part('PublishedMonth', 'A publication of statistics.', {
  ...summary,
  links: part('PublishedMonthLinks', 'Its cells.', {
    cells: Type.String({ maxLength: 100, description: 'The cells of the month.' }),
  }),
})
export const PublishedMonthPage = Page('PublishedMonthPage', PublishedMonth)

const Withheld = Type.Enum([...MARKS], { description: 'Why there is no value.' })
export const PublishedFigure = part(
  'PublishedFigure',
  'A figure, rounded to what its interval supports; or no value and the reason.',
  {
    value: Type.Union([Type.Number({ description: 'In SI units of its own, as the figure says.' }), Type.Null()], {
      description: 'In SI units: a ratio, m, J, m³ or J/m³; null where withheld.',
    }),
    low: Type.Optional(
      Type.Number({ description: 'Lower end of the 95 % interval over plants, in SI units of its own.' }),
    ),
    high: Type.Optional(
      Type.Number({ description: 'Upper end of the 95 % interval over plants, in SI units of its own.' }),
    ),
    withheld: Type.Optional(Withheld),
  },
)

const FIGURE_WORDS: Record<FigureName, string> = {
  tests: 'Tests, one a plant a year; rounded.',
  plants: 'Plants; rounded.',
  mean: 'Mean: of overall plant efficiency, a ratio; of the standing water level below the datum, in m.',
  median: 'Median of the same.',
  percentile10: 'A tenth of the tests lie below.',
  percentile25: 'A quarter of the tests lie below.',
  percentile75: 'Three quarters of the tests lie below.',
  percentile90: 'Nine tenths of the tests lie below.',
  annualEnergy: 'Input energy of a year over the tests, in J.',
  annualWater: 'Water of a year over the tests, in m³.',
  energyWeightedEfficiency: 'Water energy ÷ input energy of a year, a ratio.',
  energyPerVolume: 'Input energy ÷ water of a year, in J/m³.',
}
const names = [...new Set(Object.values(FIGURES).flat())]
export const PublishedFigures = Type.Object(
  Object.fromEntries(names.map((name) => [name, Type.Optional(PublishedFigure)])) as Record<
    FigureName,
    ReturnType<typeof Type.Optional<typeof PublishedFigure>>
  >,
  {
    title: 'PublishedFigures',
    description: names.map((name) => `\`${name}\`: ${FIGURE_WORDS[name]}`).join(' '),
    additionalProperties: false,
  },
)

const Value = (dimension: string) => Type.String({ maxLength: 60, description: `The ${dimension}, or \`all\`.` })
const LATTICE_NAMES = LATTICE.map((dimension) => WIRE[dimension])
export const CellOf = part('CellOf', 'What the cell is of.', {
  driver: Type.String({ maxLength: 60, description: 'Electric motors and engines are never pooled.' }),
  kind: Value('kind of plant'),
  region: Value('region'),
  powerClass: Value('class of nameplate power'),
  year: Value('year of the visits'),
})

/** Where a cell is, by the names on the wire. */
export const toCellOf = (driver: string, cell: string): Static<typeof CellOf> =>
  ({ driver, ...Object.fromEntries(cell.split('|').map((value, n) => [LATTICE_NAMES[n]!, value])) }) as Static<
    typeof CellOf
  >

const Bar = part('PublishedBar', 'A bar of the histogram; the outer edges are open.', {
  from: Type.Optional(Type.Number({ description: 'Lower edge, a ratio; absent where the bar is open below.' })),
  to: Type.Optional(Type.Number({ description: 'Upper edge, a ratio; absent where the bar is open above.' })),
  tests: Count('Tests in it; rounded.'),
  mark: Type.Optional(Type.Literal('merged', { description: 'Several bars in one, so that none holds too few.' })),
})

export const PublishedCell = part('PublishedCell', 'A cell of the lattice.', {
  of: CellOf,
  figures: PublishedFigures,
  waiting: Type.Optional(
    Count(
      'Of the cell of all tests of a driver: tests that count and are in no cell yet, since some cell would hold or change by too few; rounded.',
    ),
  ),
  histogram: Type.Optional(
    Type.Array(Bar, { maxItems: 20, description: 'Tests by overall plant efficiency, lowest first.' }),
  ),
})

export const PublishedStatistics = part('PublishedStatistics', 'The cells of a month, told or withheld.', {
  ...summary,
  figuresOf: FiguresOf,
  notASample: Type.Literal(NOT_A_SAMPLE, { description: 'To be shown with the figures.' }),
  items: Type.Array(PublishedCell, { maxItems: 20_000, description: 'Every cell, by driver and place.' }),
})
export type PublishedStatistics = Static<typeof PublishedStatistics>

export const PeersOfFirm = part('PeersOfFirm', 'A firm’s own tests beside those of its peers, cell by cell.', {
  month: Month,
  notASample: Type.Literal(NOT_A_SAMPLE, { description: 'To be shown with the figures.' }),
  items: Type.Array(
    part(
      'PeersCell',
      'A cell that tests of the firm belong to: its own, those that wait too, counts rounded, and those of all others by the rules for everybody.',
      {
        figuresOf: FiguresOf,
        of: CellOf,
        own: PublishedFigures,
        peers: PublishedFigures,
      },
    ),
    { maxItems: 20_000, description: 'By figures, driver and place.' },
  ),
})
