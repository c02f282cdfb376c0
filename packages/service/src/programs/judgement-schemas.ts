/** A judgement on the wire: each rule with its facts and where they stand. */
import { SEVERITIES } from '@liftledger/calc'
import { type Static, Type } from 'typebox'
import { Id } from '../http/ids.ts'
import { part, Sha256, Version } from './rule-set-schemas.ts'
import { OUTCOMES } from './rules/conditions.ts'
import { RULE_GROUPS } from './rules/judge.ts'
import { Amount } from './rules/payments-schema.ts'

const Text = (maxLength: number, description: string) => Type.String({ maxLength, description })
const RuleId = Text(80, 'Id of the rule within the rule set.')
const Pointer = Text(300, 'JSON Pointer of the rule into the rule set.')

const JudgedFact = Type.Object(
  {
    fact: Text(60, 'Which fact.'),
    values: Type.Array(
      Type.Object(
        {
          value: Type.Union(
            [
              Type.String({ maxLength: 100, description: 'A code or a number of a certificate.' }),
              Type.Number({ description: 'In `unit`; a count, days or diameters without one.' }),
              Type.Boolean({ description: 'Whether it is so.' }),
            ],
            { description: 'As read.' },
          ),
          unit: Type.Optional(Text(20, 'SI unit.')),
          document: Type.Enum(['sheet', 'context', 'evaluation', 'consent', 'tests'], {
            description:
              'Where it stands: the sheet, the context or the evaluation of the test; `consent`: the turns of ' +
              '/v1/tests/{id}/programs; `tests`: another test.',
          }),
          pointer: Text(300, 'JSON Pointer into it; the turn of the consent, or the id of the test.'),
        },
        { title: 'JudgedValue', description: 'One value and its place.', ...part },
      ),
      { maxItems: 60, description: 'Every place that it was read from.' },
    ),
    missing: Type.Optional(Text(600, 'What is missing.')),
    atMost: Type.Optional(
      Type.Literal(true, {
        description: 'The true number may be smaller: not all that counts is shown to this reader.',
      }),
    ),
  },
  { title: 'JudgedFact', description: 'A fact of the test.', ...part },
)

const Facts = Type.Array(JudgedFact, { maxItems: 20, description: 'Facts that were used.' })
const Outcome = Type.Enum([...OUTCOMES], {
  description: '`not-decidable`: a fact is missing. It counts as not met for payment and is not a failure.',
})

const JudgedRule = Type.Object(
  {
    rule: RuleId,
    group: Type.Enum([...RULE_GROUPS], { description: 'Part of the rule set.' }),
    pointer: Pointer,
    applies: Type.Boolean({ description: 'Whether the rule is for such a test; one that is not is met.' }),
    outcome: Outcome,
    wanted: Text(3000, 'What is wanted, in words.'),
    because: Type.Optional(Text(600, 'What is missing, or why it does not count.')),
    facts: Facts,
  },
  { title: 'JudgedRule', description: 'One rule on one test.', ...part },
)

const AmountStep = Type.Object(
  {
    rule: RuleId,
    pointer: Pointer,
    step: Type.Enum(['amount', 'add'], { description: 'Whether it begins the sum or is added to it.' }),
    amount: Amount('What this line says.'),
    total: Amount('The sum so far.'),
    facts: Facts,
  },
  { title: 'AmountStep', description: 'One line of an amount.', ...part },
)

const AmountOfTest = Type.Object(
  {
    currency: Text(3, 'ISO 4217.'),
    amount: Type.Optional(Amount('Before caps. Absent where a missing fact decides it, or no line fits.')),
    steps: Type.Array(AmountStep, { maxItems: 50, description: 'How it comes about.' }),
    open: Type.Array(
      Type.Object(
        { rule: RuleId, pointer: Pointer, missing: Text(600, 'What is missing.') },
        { title: 'OpenAmountLine', description: 'A line that a missing fact leaves open.', ...part },
      ),
      { maxItems: 50, description: 'Lines that can not be decided.' },
    ),
  },
  { title: 'AmountOfTest', description: 'What the program pays for the test, before caps.', ...part },
)

const FindingForProgram = Type.Object(
  {
    id: Text(80, 'Id in the findings catalogue.'),
    severity: Type.Enum([...SEVERITIES], { description: 'For this program.' }),
    run: Type.Optional(Type.Integer({ minimum: 0, maximum: 19, description: 'Index of the run.' })),
    place: Text(200, 'JSON Pointer into the sheet.'),
    changed: Type.Optional(Type.Enum(['limit', 'severity'], { description: 'What the rule set changed of it.' })),
    decision: Type.Optional(
      Type.Enum(['stands', 'does-not-stand'], { description: 'What the program decided on it last.' }),
    ),
  },
  { title: 'FindingForProgram', description: 'A finding under the rules of a program.', ...part },
)

export const Judgement = Type.Object(
  {
    testId: Id('test', 'Id of the test.'),
    programId: Id('program', 'Id of the program.'),
    testedOn: Type.String({ format: 'date', maxLength: 10, description: 'Day that chose the version.' }),
    ruleSet: Type.Optional(
      Type.Object(
        { id: Id('rule set', 'Id of the rule set.'), version: Version, contentSha256: Sha256('Hash of its rules.') },
        { title: 'RuleSetInForce', description: 'The version in force on that day.', ...part },
      ),
    ),
    soundness: Type.Enum(['sound', 'in-question', 'unsound', 'superseded', 'withdrawn'], {
      description: 'For this program: its limits, its severities, its decisions.',
    }),
    findings: Type.Array(FindingForProgram, { maxItems: 500, description: 'Gravest first.' }),
    eligibility: Outcome,
    payable: Type.Boolean({
      description: 'Every rule met, the test sound, and an amount: what is missing counts as not met.',
    }),
    amount: Type.Optional(AmountOfTest),
    rules: Type.Array(JudgedRule, { maxItems: 250, description: 'Every rule of the version.' }),
  },
  {
    title: 'Judgement',
    description: 'A test judged by the rules in force on its day; none of them where no version was.',
    ...part,
  },
)
export type Judgement = Static<typeof Judgement>
