/** What a rule set says about money: amounts as decimal text, never a binary fraction. */
import { type Static, type TProperties, Type } from 'typebox'
import { code, When } from './schema-parts.ts'

const part = <P extends TProperties>(title: string, description: string, properties: P) =>
  Type.Object(properties, { title, description, additionalProperties: false })

export const Amount = (description: string) =>
  Type.String({ pattern: '^(0|[1-9][0-9]{0,11})\\.[0-9]{2}$', minLength: 4, maxLength: 15, description })

export const AmountLine = part('AmountLine', 'An amount for tests of a kind, or what is added to it.', {
  id: code('Id of the rule within the rule set.'),
  when: Type.Optional(When('Tests it is for; all if absent.')),
  amount: Type.Optional(Amount('The amount; of these lines exactly one must fit each test.')),
  add: Type.Optional(Amount('Added to the amount.')),
})
export type AmountLine = Static<typeof AmountLine>

const Years = part('CapYears', 'So many years.', {
  years: Type.Integer({ minimum: 1, maximum: 50, description: 'Years.' }),
})

export const PAYEES = ['plant', 'customer', 'firm', 'program'] as const

export const Cap = part('Cap', 'How much, or how often, is paid at most.', {
  id: code('Id of the rule within the rule set.'),
  per: Type.Enum([...PAYEES], { description: 'For whom it holds.' }),
  window: Type.Union([Type.Enum(['rule-set-year'], { description: 'The days this version is in force.' }), Years], {
    description: 'Over which time.',
  }),
  count: Type.Optional(Type.Integer({ minimum: 0, maximum: 1_000_000, description: 'So many times.' })),
  amount: Type.Optional(Amount('So much money.')),
  waivedBy: Type.Optional(
    Type.Array(Type.Enum(['repair-since-last-test'], { description: 'A circumstance.' }), {
      maxItems: 1,
      description: 'Circumstances in which it does not count.',
    }),
  ),
})
export type Cap = Static<typeof Cap>

const Caps = Type.Array(Cap, { maxItems: 20, description: 'Caps, taken in the order plant, customer, firm, program.' })

const TestPayments = part('TestPayments', 'What is paid for a test.', {
  amounts: Type.Array(AmountLine, { maxItems: 50, description: 'Amounts and what is added to them.' }),
  caps: Caps,
})

const Interval = part('RepairInterval', 'What the interval of the saving must be.', {
  confidence: Type.Number({ exclusiveMinimum: 0, exclusiveMaximum: 1, description: 'Confidence, a ratio.' }),
  use: Type.Enum(['estimate', 'lower-end'], { description: 'What is paid for.' }),
  mustExcludeZero: Type.Boolean({ description: 'Whether a saving of nothing must be excluded.' }),
  maxHalfWidthShare: Type.Number({
    exclusiveMinimum: 0,
    maximum: 10,
    description: 'Half-width over estimate at most.',
  }),
})

const rate = (unit: string) =>
  Type.Object(
    {
      value: Type.String({
        pattern: '^(0|[1-9][0-9]{0,11})(\\.[0-9]{1,9})?$',
        maxLength: 22,
        description: 'In `unit`.',
      }),
      unit: Type.String({
        pattern: `^[A-Z]{3}/${unit}$`,
        maxLength: 12,
        description: 'Currency for a unit of energy.',
      }),
    },
    { description: 'Paid for a unit of energy saved.', additionalProperties: false },
  )

const RepairPayments = part('RepairPayments', 'What is paid for a repair that was tested before and after.', {
  basis: Type.Enum(['annual-energy-saved'], { description: 'What it is paid for.' }),
  estimate: Type.Enum(['as-tested', 'at-baseline-head', 'lower-of-both-normalisations'], {
    description: 'Which saving.',
  }),
  interval: Type.Optional(Interval),
  rate: part('RepairRates', 'By driver.', {
    electric: Type.Optional(rate('kWh')),
    engine: Type.Optional(rate('therm')),
  }),
  annualVolume: part('AnnualVolumeRule', 'Which volume of a year.', {
    basis: Type.Enum(['mean-of-last-years', 'last-year'], { description: 'Which years.' }),
    years: Type.Integer({ minimum: 1, maximum: 20, description: 'How many.' }),
    evidence: Type.Enum(['bills-or-meter', 'statement'], { description: 'What shows it.' }),
  }),
  limits: Type.Array(
    part('RepairLimit', 'A limit of one claim.', {
      id: code('Id of the rule within the rule set.'),
      atMostShareOfCost: Type.Optional(
        Type.Number({ exclusiveMinimum: 0, maximum: 1, description: 'Share of the cost.' }),
      ),
      atMost: Type.Optional(Amount('So much money.')),
    }),
    { maxItems: 10, description: 'Limits of one claim.' },
  ),
  caps: Caps,
  eligibleWork: Type.Array(code('Work.'), { maxItems: 50, uniqueItems: true, description: 'Work that is paid for.' }),
  notEligibleWork: Type.Array(code('Work.'), { maxItems: 50, uniqueItems: true, description: 'Work that is not.' }),
  window: part('RepairWindow', 'When the two tests are made.', {
    beforeTestAtMostDaysBeforeWork: Type.Integer({ minimum: 0, maximum: 3650, description: 'Days.' }),
    afterTestAtLeastDaysAfterWork: Type.Integer({ minimum: 0, maximum: 3650, description: 'Days.' }),
    afterTestAtMostDaysAfterWork: Type.Integer({ minimum: 0, maximum: 3650, description: 'Days.' }),
  }),
  sameMethod: Type.Enum(['wanted', 'required', 'free'], { description: 'Whether both tests use one method.' }),
  sameSeason: Type.Boolean({ description: 'Whether both tests are of one season.' }),
})

export const Payments = part('Payments', 'What is paid.', {
  test: Type.Optional(TestPayments),
  repair: Type.Optional(RepairPayments),
})
