/** Work lists on the wire. */
import { PLANT_KINDS, SOUNDNESS } from '@liftledger/calc'
import { type Static, type TProperties, type TSchema, Type } from 'typebox'
import { Page } from '../http/cursor.ts'
import { Id } from '../http/ids.ts'

const part = <P extends TProperties>(title: string, description: string, properties: P) =>
  Type.Object(properties, { title, description, additionalProperties: false })
export const Code = (description: string) =>
  Type.String({ pattern: '^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$', minLength: 1, maxLength: 40, description })
const Day = (description: string) => Type.String({ format: 'date', maxLength: 10, description })
const Days = (description: string) => Type.Integer({ minimum: -100_000, maximum: 100_000, description })
const Count = (description: string) => Type.Integer({ minimum: 0, maximum: Number.MAX_SAFE_INTEGER, description })

/** A page of a list, with what holds for all of it. */
const WorkList = <S extends TSchema, P extends TProperties>(title: string, description: string, item: S, all: P) =>
  Type.Object({ ...Page(title, item).properties, ...all }, { title, description, additionalProperties: false })

const of = {
  of: Type.Enum(['own-tests', 'tests-given-to-the-program', 'all-tests'], {
    description: 'Whose tests it is made of.',
  }),
}
const plant = {
  plantId: Id('plant', 'Id of the plant.'),
  plantCode: Code('Code of the plant.'),
  kind: Type.Enum([...PLANT_KINDS], { description: 'Kind of plant.' }),
  region: Type.Optional(Code('Code of the region; absent where it is not on record.')),
}
const links = part('WorkListLinks', 'Where the row comes from.', {
  history: Type.String({ maxLength: 100, description: 'The tests of the plant.' }),
})

export const PlantDue = part('PlantDue', 'A plant that is due for a test.', {
  ...plant,
  because: Type.Enum(['interval-passed', 'interval-will-pass', 'no-sound-test', 'never-tested'], {
    description:
      '`interval-passed`: the last sound test is too long ago. `interval-will-pass`: it will be within the days asked for. `no-sound-test`: there are tests, none of them sound. `never-tested`: this reader has none.',
  }),
  lastSoundOn: Type.Optional(Day('Day of the last sound test.')),
  lastSoundTestId: Type.Optional(Id('test', 'The last sound test.')),
  intervalDays: Type.Integer({ minimum: 1, maximum: 100_000, description: 'Days between two tests of this plant.' }),
  dueOn: Type.Optional(Day('First day on which the interval has passed.')),
  daysOver: Type.Optional(Days('Days since then; negative where it is still to come.')),
  lastTestedOn: Type.Optional(Day('Day of the last test, where none is sound.')),
  lastTestId: Type.Optional(Id('test', 'The last test, where none is sound.')),
  lastSoundness: Type.Optional(Type.Enum([...SOUNDNESS], { description: 'What is made of it.' })),
  links,
})
export type PlantDue = Static<typeof PlantDue>

export const PlantsDue = WorkList('PlantsDue', 'Plants that are due for a test, the longest overdue first.', PlantDue, {
  ...of,
  today: Day(
    'The day that days are counted to: in the time zone of the program’s rules, in UTC where days were asked for.',
  ),
  interval: part('DueInterval', 'Where the interval comes from.', {
    asked: Type.Optional(Type.Integer({ minimum: 1, maximum: 100_000, description: 'Days that were asked for.' })),
    programId: Type.Optional(Id('program', 'Program whose rules say it.')),
    version: Type.Optional(Type.Integer({ minimum: 1, maximum: 10_000, description: 'Version of them in force.' })),
    rules: Type.Optional(
      Type.Array(
        part('DueIntervalRule', 'A rule that asks for days between tests.', {
          rule: Code('Id of the rule.'),
          days: Type.Integer({ minimum: 0, maximum: 10_000_000, description: 'Days that it asks for.' }),
        }),
        { maxItems: 100, description: 'Each may hold for some plants only; the longest that may hold counts.' },
      ),
    ),
  }),
  plantsByReason: part('PlantsDueByReason', 'How many plants the whole list has.', {
    intervalPassed: Count('Whose interval has passed.'),
    intervalWillPass: Count('Whose interval will pass within the days asked for.'),
    noSoundTest: Count('With tests, none of them sound.'),
    neverTested: Count('Without a test.'),
    notDue: Count('That are not in the list, since their interval has not passed.'),
    withoutInterval: Count('That are not in the list, since no rule asks for an interval of them.'),
  }),
})
export type PlantsDue = Static<typeof PlantsDue>

export const PlantFalling = part(
  'PlantFalling',
  'A plant whose overall plant efficiency falls beyond its uncertainty.',
  {
    ...plant,
    slopePerYear: Type.Number({ description: 'Change of overall plant efficiency a year, a ratio; below nothing.' }),
    slopeLow: Type.Number({ description: 'Lower end of its 95 % interval, a ratio.' }),
    slopeHigh: Type.Number({ description: 'Upper end of its 95 % interval, a ratio; below nothing.' }),
    slopeUncertainty: Type.Number({ minimum: 0, description: 'Standard uncertainty of the change a year, a ratio.' }),
    uncertaintyFrom: Type.Enum(['stated', 'scatter'], {
      description:
        '`stated`: from the uncertainties of the tests. `scatter`: the tests scatter more than those allow, and it was enlarged by the Birge ratio.',
    }),
    birgeRatio: Type.Number({ minimum: 0, description: 'Scatter about the line over what was stated, a ratio.' }),
    tests: Type.Integer({ minimum: 3, maximum: 100_000, description: 'Sound tests that the line is laid through.' }),
    firstOn: Day('Day of the first of them.'),
    lastOn: Day('Day of the last of them.'),
    lastEfficiency: Type.Number({ description: 'Overall plant efficiency of the last of them, a ratio.' }),
    equipmentSince: Type.Optional(
      Day('Day of the last change of equipment on record, from which on tests count; absent where there was none.'),
    ),
    velocityHead: Type.Enum(['include', 'omit', 'not-known'], {
      description: 'Head setting of the method edition of these tests; tests of another are left out.',
    }),
    testIds: Type.Array(Id('test', 'Id of a test.'), {
      maxItems: 100,
      description: 'The tests, oldest first; the newest hundred where there are more.',
    }),
    links,
  },
)
export type PlantFalling = Static<typeof PlantFalling>

export const PlantsFalling = WorkList(
  'PlantsFalling',
  'Plants that lose efficiency faster than their uncertainty, the steepest first.',
  PlantFalling,
  {
    ...of,
    plantsLookedAt: part('PlantsLookedAt', 'How many plants were looked at, and what of it chance alone would list.', {
      withSoundTests: Count('Plants tested three times or more over a year or more, since when a sound test stands.'),
      tooFewTests: Count('Of these: fewer than three sound tests over a year since the last change of equipment.'),
      fitted: Count('Of these: a line was laid through their tests.'),
      falling: Count('Of these: the line falls beyond its uncertainty.'),
      byChanceAtMost: Type.Number({
        minimum: 0,
        description:
          'Plants, at most, that chance would list though none of them changed: 2.5 percent of those fitted.',
      }),
    }),
  },
)
export type PlantsFalling = Static<typeof PlantsFalling>

export const Lapse = part('Lapse', 'A certificate or a qualification that ends, or has ended, with nothing after it.', {
  what: Type.Enum(['certificate', 'qualification'], { description: 'Of an instrument, or of a tester.' }),
  firmId: Id('firm', 'The firm.'),
  code: Code('Code of the instrument or the tester within the firm.'),
  instrumentId: Type.Optional(Id('instrument', 'The instrument; absent where it is known from tests only.')),
  testerId: Type.Optional(Id('tester', 'The tester.')),
  instrumentKind: Type.Optional(
    Type.String({ pattern: '^[a-z][a-z-]{1,59}$', maxLength: 60, description: 'Kind of instrument.' }),
  ),
  certificate: Type.Optional(Code('Number of the certificate.')),
  qualification: Type.Optional(Code('Code of the qualification.')),
  validUntil: Day('Last day on which it stands.'),
  state: Type.Enum(['lapsing', 'lapsed'], { description: 'Whether that day has passed.' }),
  daysLeft: Days('Days until it ends; negative where it has ended.'),
  lastUsedOn: Type.Optional(
    Day('Day of the last test with it that the reader sees, since it began to stand; absent where there is none.'),
  ),
  lastTestId: Type.Optional(Id('test', 'That test.')),
})
export type Lapse = Static<typeof Lapse>

export const Lapses = WorkList('Lapses', 'Certificates and qualifications that lapse, the first to end first.', Lapse, {
  knownFrom: Type.Enum(['registry', 'last-test'], {
    description:
      '`registry`: as it stands. `last-test`: as it stood with the last test that the program was given; it may have been renewed since.',
  }),
  today: Day('The day that days are counted from, in UTC.'),
})
export type Lapses = Static<typeof Lapses>

export const SEASONS = ['december-to-february', 'march-to-may', 'june-to-august', 'september-to-november'] as const

export const StandingLevelChange = part(
  'StandingLevelChange',
  'How the standing level of the same wells changed, in one region and season.',
  {
    region: Code('Code of the region; `not-stated` for wells without.'),
    season: Type.Enum([...SEASONS], {
      description: 'Three whole months; levels of different seasons are not compared.',
    }),
    withheld: Type.Optional(
      Type.Enum(['too few'], { description: 'Fewer plants or customers than the minimum: no figure is told.' }),
    ),
    wells: Type.Optional(Count('Wells with a level in two years or more.')),
    levels: Type.Optional(Count('Levels of these wells, one a well and year.')),
    firstYear: Type.Optional(
      Type.Integer({ minimum: 1900, maximum: 9999, description: 'First year; a winter is of the year it ends in.' }),
    ),
    lastYear: Type.Optional(Type.Integer({ minimum: 1900, maximum: 9999, description: 'Last year.' })),
    changeMPerYear: Type.Optional(
      Type.Number({ description: 'Change of the depth to water in m a year: above nothing where levels fall.' }),
    ),
    changeLow: Type.Optional(Type.Number({ description: 'Lower end of its 95 % interval over wells, in m a year.' })),
    changeHigh: Type.Optional(Type.Number({ description: 'Upper end of its 95 % interval over wells, in m a year.' })),
    levelsAre: Type.Optional(
      Type.Enum(['falling', 'rising', 'not-resolved'], { description: 'What the interval says of the water level.' }),
    ),
  },
)
export type StandingLevelChange = Static<typeof StandingLevelChange>

export const StandingLevels = WorkList(
  'StandingLevels',
  'Standing water levels by region and season, on the same wells.',
  StandingLevelChange,
  {
    ...of,
    minimum: part('StandingLevelMinimum', 'What stands behind every row that is told.', {
      plants: Count('Wells at least.'),
      customers: Count('Customers at least.'),
    }),
    withheldRows: Count('Rows withheld in the whole list.'),
    wellsLeftOut: Count('Wells with a sound standing level in one year of a season only: they tell of no change.'),
    notASample: Type.Literal('Tested plants are not a random sample of all plants.', {
      description: 'To be shown with the figures.',
    }),
  },
)
export type StandingLevels = Static<typeof StandingLevels>
