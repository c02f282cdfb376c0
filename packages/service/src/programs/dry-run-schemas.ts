/** Dry runs on the wire: how far one is, what it found in all, and test by test. */
import { type Static, Type } from 'typebox'
import { Page } from '../http/cursor.ts'
import { Id } from '../http/ids.ts'
import { Moment, part, Sha256 } from './rule-set-schemas.ts'
import { OUTCOMES } from './rules/conditions.ts'

const Count = (description: string) => Type.Integer({ minimum: 0, maximum: 1_000_000_000, description })
const Money = (description: string) =>
  Type.String({ pattern: '^-?(0|[1-9][0-9]*)\\.[0-9]{2}$', maxLength: 25, description })

const Verdict = Type.Object(
  {
    version: Type.Integer({ minimum: 1, maximum: 10_000, description: 'Version that judged.' }),
    soundness: Type.Enum(['sound', 'in-question', 'unsound'], { description: 'Soundness for the program.' }),
    eligibility: Type.Enum([...OUTCOMES], { description: 'All rules together.' }),
    payable: Type.Boolean({ description: 'Whether the amount is due, before caps.' }),
    amount: Type.Optional(Money('Amount before caps; absent where it can not be decided.')),
  },
  { title: 'DryRunVerdict', description: 'What a version makes of a test.', ...part },
)
export type Verdict = Static<typeof Verdict>

export const DryRunChange = Type.Object(
  {
    testId: Id('test', 'Id of the test.'),
    testedOn: Type.String({ format: 'date', maxLength: 10, description: 'Day of the test.' }),
    before: Verdict,
    after: Verdict,
  },
  {
    title: 'DryRunChange',
    description: 'A test that the draft judges otherwise than the version in force on its day.',
    ...part,
  },
)
export type DryRunChange = Static<typeof DryRunChange>
export const DryRunChangePage = Page('DryRunChangePage', DryRunChange)

const Sums = Type.Object(
  {
    before: Money('By the versions in force on the days of the tests.'),
    after: Money('By the draft.'),
    difference: Money('The second less the first.'),
  },
  { title: 'DryRunSums', description: 'Sums over the tests that both judge, before caps.', ...part },
)

export const DryRunSummary = Type.Object(
  {
    judged: Count('Tests that the draft judged.'),
    notJudged: Count('Tests that this version of the service can not evaluate.'),
    withoutVersion: Count(
      'Tests of days on which no version was in force: the draft judged them, and nothing is compared.',
    ),
    changed: Count('Tests that are judged otherwise in any way.'),
    soundness: Count('Of these, in soundness.'),
    eligibility: Count('Of these, in eligibility.'),
    amount: Count('Of these, in the amount.'),
    becamePayable: Count('Of these, payable by the draft alone.'),
    noLongerPayable: Count('Of these, payable before alone.'),
    amounts: Sums,
    payable: Sums,
  },
  { title: 'DryRunSummary', description: 'What would change, and by how much in all.', ...part },
)
export type DryRunSummary = Static<typeof DryRunSummary>

export const DryRun = Type.Object(
  {
    id: Id('dry run', 'Id of the dry run.'),
    ruleSetId: Id('rule set', 'Draft that judges.'),
    contentSha256: Sha256('Of the rules as they were when it began.'),
    state: Type.Enum(['running', 'finished', 'failed'], { description: 'How far it is.' }),
    startedAt: Moment('When it began.'),
    finishedAt: Type.Optional(Moment('When it ended.')),
    judged: Count('Tests judged so far.'),
    failed: Type.Optional(Type.String({ maxLength: 500, description: 'Why it failed; begin another one.' })),
    summary: Type.Optional(DryRunSummary),
  },
  { title: 'DryRun', description: 'A draft judges the tests that the program has.', ...part },
)
export type DryRun = Static<typeof DryRun>
