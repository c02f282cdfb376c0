/** A rule set as data: what a program pays for, from a day to a day. Schema and type share a name. */
import { type Static, type TProperties, Type } from 'typebox'
import { Payments } from './payments-schema.ts'
import { Bound, code, Day, factName, When } from './schema-parts.ts'

const part = <P extends TProperties>(title: string, description: string, properties: P) =>
  Type.Object(properties, { title, description, additionalProperties: false })

const Codes = (description: string, maxItems = 50) =>
  Type.Array(code('One of them.'), { maxItems, uniqueItems: true, description })

const WAIVERS = ['repair-since-last-test'] as const
/** Uses of instruments that a rule may ask certificates for. */
export const CALIBRATED_USES = ['level', 'pressure', 'suctionPressure', 'flow', 'power', 'speed', 'time'] as const

export const Rule = part('Rule', 'A fact, an operator and a value.', {
  id: code('Id of the rule within the rule set.'),
  fact: factName('What it looks at.'),
  in: Type.Optional(Codes('The fact is one of these codes.')),
  equals: Type.Optional(Type.Boolean({ description: 'The fact is so.' })),
  from: Type.Optional(Bound('Not less than this.')),
  to: Type.Optional(Bound('Not more than this.')),
  atLeast: Type.Optional(Bound('Not less than this.')),
  atMost: Type.Optional(Bound('Not more than this.')),
  hasInForceOn: Type.Optional(
    Type.Enum(['testedOn'], { description: 'One of `anyOf` is in force on the day of the test.' }),
  ),
  anyOf: Type.Optional(Codes('Qualifications that will do; goes with `hasInForceOn`.')),
  validOn: Type.Optional(
    Type.Enum(['testedOn'], { description: 'The certificates are in force on the day of the test.' }),
  ),
  for: Type.Optional(
    Type.Array(Type.Enum([...CALIBRATED_USES], { description: 'A use of instruments.' }), {
      maxItems: CALIBRATED_USES.length,
      uniqueItems: true,
      description: 'Uses whose instruments need a certificate; goes with `validOn`.',
    }),
  ),
  waivedBy: Type.Optional(
    Type.Array(Type.Enum([...WAIVERS], { description: 'A circumstance.' }), {
      maxItems: WAIVERS.length,
      uniqueItems: true,
      description: 'Circumstances in which the rule does not count.',
    }),
  ),
  when: Type.Optional(When('Where the rule applies; everywhere if absent.')),
})
export type Rule = Static<typeof Rule>

/** Readings and evidence that a rule may ask for. */
export const NEEDS = ['standingLevel', 'pumpingLevel.series', 'power.timings', 'evidence.meter-face'] as const

export const ReadingRule = part('ReadingRule', 'A reading, or evidence of one, that a test must hold.', {
  id: code('Id of the rule within the rule set.'),
  needs: Type.Enum([...NEEDS], { description: 'What must be there.' }),
  atLeast: Type.Optional(Type.Integer({ minimum: 1, maximum: 100, description: 'How many of them; one if absent.' })),
  unless: Type.Optional(
    Type.Enum(['noAccessStated'], {
      description: 'Not asked for where the sheet says that there is no access. What is left out for safety never is.',
    }),
  ),
  when: Type.Optional(When('Where the rule applies; everywhere if absent.')),
})
export type ReadingRule = Static<typeof ReadingRule>

const findingId = { pattern: '^[a-z][a-z0-9-]{0,79}$', maxLength: 80 }
const Limits = Type.Record(Type.String({ pattern: '^[A-Za-z]{1,40}$', maxLength: 40 }), Bound('The program’s limit.'), {
  maxProperties: 10,
  description: 'Limits of the finding by their names.',
})

export const RuleSetFindings = part('RuleSetFindings', 'What the program changes of findings, as far as it may.', {
  limits: Type.Optional(
    Type.Record(Type.String(findingId), Limits, {
      maxProperties: 100,
      description: 'Limits by finding, in the unit given or, a bare number, as a ratio.',
    }),
  ),
  severity: Type.Optional(
    Type.Record(
      Type.String(findingId),
      Type.Enum(['hold', 'caution', 'note', 'reject'], { description: 'Severity for this program.' }),
      { maxProperties: 100, description: 'Severities by finding. One may be raised to `hold`.' },
    ),
  ),
})

const Deciding = part('Deciding', 'Who reads a claim, and how many of them.', {
  readers: Type.Integer({ minimum: 1, maximum: 2, description: 'Readers of a claim.' }),
  thirdReaderAbove: Type.Optional(
    Type.String({
      pattern: '^(0|[1-9][0-9]{0,11})\\.[0-9]{2}$',
      maxLength: 15,
      description: 'Above this amount, one more.',
    }),
  ),
  readerMayNotBeOf: Type.Array(
    Type.Enum(['claimant', 'firm', 'repairFirm'], { description: 'One whom a reader may not belong to.' }),
    { maxItems: 3, uniqueItems: true, description: 'Whom readers may not belong to.' },
  ),
  sampleShare: Type.Number({ minimum: 0, maximum: 1, description: 'Share of claims read twice all the same.' }),
})

export const RuleSetContent = part('RuleSetContent', 'One version of a program’s rules.', {
  name: Type.String({ minLength: 1, maxLength: 200, description: 'Name, for readers.' }),
  version: Type.Integer({ minimum: 1, maximum: 10_000, description: 'Counts from 1 within the program.' }),
  inForceFrom: Day('First day of tests that it judges.'),
  inForceTo: Day('Last day of tests that it judges.'),
  pausedFrom: Type.Optional(
    Day('First day of a pause before this version: the day after the version before it ended. Absent: no gap.'),
  ),
  timeZone: Type.String({
    pattern: '^[A-Za-z0-9_+/-]{1,40}$',
    maxLength: 40,
    description: 'Time zone of its days, by its IANA name.',
  }),
  currency: Type.String({ pattern: '^[A-Z]{3}$', maxLength: 3, description: 'Currency of its amounts (ISO 4217).' }),
  methodEdition: Type.String({
    pattern: '^[0-9]{4}-[0-9]{1,3}$',
    maxLength: 8,
    description: 'Method edition of its tests.',
  }),
  judgeRepairsBy: Type.Optional(
    Type.Enum(['before-test', 'repair-finished'], {
      description: 'The day that chooses the version for a repair; `before-test` if absent.',
    }),
  ),
  exclusiveGroup: Type.Optional(code('Programs of one group never pay for one test twice.')),
  eligibility: Type.Array(Rule, { maxItems: 100, description: 'Whom and what it pays for.' }),
  readings: Type.Array(ReadingRule, { maxItems: 50, description: 'What a test must hold.' }),
  quality: Type.Array(Rule, { maxItems: 50, description: 'How good it must be.' }),
  findings: Type.Optional(RuleSetFindings),
  payments: Payments,
  deciding: Type.Optional(Deciding),
})
export type RuleSetContent = Static<typeof RuleSetContent>
