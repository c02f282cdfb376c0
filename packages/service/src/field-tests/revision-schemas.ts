/** Versions of a test on the wire: revisions, withdrawals, and what changed from one to another. */
import { QuantityId, SEVERITIES } from '@liftledger/calc'
import { type Static, type TProperties, Type } from 'typebox'
import { Id } from '../http/ids.ts'
import { Day, Instant, SoundnessNow } from './schemas.ts'

const part = <P extends TProperties>(title: string, description: string, properties: P) =>
  Type.Object(properties, { title, description, additionalProperties: false })

export const REVISION_REASONS = [
  'misread',
  'mistyped',
  'wrong-unit',
  'wrong-instrument',
  'wrong-tester',
  'wrong-date',
  'reading-added',
  'reading-left-out',
  'records-corrected',
  'answer-to-finding',
] as const
export const RevisionReason = Type.Enum([...REVISION_REASONS], {
  description:
    'Why: a reading was `misread` or `mistyped`, has the `wrong-unit`; the sheet names the `wrong-instrument` or ' +
    '`wrong-tester` or has the `wrong-date`; a `reading-added` later, or left out; the registered records it leans on were wrong and are ' +
    '`records-corrected`; or it is an `answer-to-finding`.',
})

export const WITHDRAWAL_REASONS = [
  'wrong-plant',
  'sent-twice',
  'practice',
  'readings-unreliable',
  'consent-missing',
] as const
const WithdrawalReason = Type.Enum([...WITHDRAWAL_REASONS], {
  description:
    'Why: of the `wrong-plant`, `sent-twice`, a `practice` run and no test, `readings-unreliable` after all, or the ' +
    'grower’s `consent-missing`.',
})

const By = (description: string) => Type.String({ maxLength: 40, description })

export const TestToWithdraw = part('TestToWithdraw', 'A test is taken back.', { reason: WithdrawalReason })

export const Withdrawal = part('Withdrawal', 'A test was taken back by its firm, for good; it stays readable.', {
  test: Id('test', 'Id of the test.'),
  reason: Type.String({ maxLength: 40, description: 'Code of the reason.' }),
  withdrawnAt: Instant('When.'),
  withdrawnBy: By('Id of the key, or of the token’s principal, that did it.'),
})
export type Withdrawal = Static<typeof Withdrawal>

export const TestVersion = part('TestVersion', 'One version of a test.', {
  id: Id('test', 'Id of the version.'),
  revision: Type.Integer({ minimum: 1, maximum: 10_000, description: '1 as first submitted.' }),
  testedOn: Day('Date of the visit as this version has it.'),
  receivedAt: Instant('When the sheet was received.'),
  edition: Type.String({ maxLength: 20, description: 'Method edition of the evaluation.' }),
  soundness: SoundnessNow,
  firmId: Id('firm', 'Id of the firm that submitted it.'),
  submittedBy: By('Id of the key, or of the token’s principal, that submitted it.'),
  revises: Type.Optional(Id('test', 'Id of the version whose place it took.')),
  reason: Type.Optional(Type.String({ maxLength: 40, description: 'Why it took that place.' })),
  supersededBy: Type.Optional(Id('test', 'Id of the version that took its place.')),
  withdrawal: Type.Optional(Withdrawal),
  links: Type.Object(
    {
      test: Type.String({ maxLength: 200, description: 'This version.' }),
      entries: Type.String({
        maxLength: 200,
        description: 'Entries of the ledger about it; for auditors and keepers.',
      }),
    },
    { title: 'TestVersionLinks', description: 'Where to read on.', additionalProperties: false },
  ),
})
export type TestVersion = Static<typeof TestVersion>

export const TestVersions = part('TestVersions', 'Versions of one visit, oldest first.', {
  versions: Type.Array(TestVersion, { maxItems: 200, description: 'Those that this key may see.' }),
})

/** Whatever stands in a sheet or an evaluation at a pointer; absent where nothing does. */
export const AtPointer = (description: string) => Type.Optional(Type.Unknown({ description }))
export const Pointer = (description: string) => Type.String({ maxLength: 500, description })

const ChangedReading = part('ChangedReading', 'A member of the sheet that was changed, added or taken out.', {
  pointer: Pointer('JSON Pointer into both sheets.'),
  from: AtPointer('What stood there; absent where it was added.'),
  to: AtPointer('What stands there; absent where it was taken out.'),
})

const Figure = part('ChangedFigure', 'A result of one version.', {
  value: Type.Number({ description: 'Value in `unit`.' }),
  unit: Type.String({ maxLength: 20, description: 'SI unit.' }),
  expandedUncertainty: Type.Number({ minimum: 0, description: 'Half-width of its 95 % interval in `unit`.' }),
})
const ChangedResult = part('ChangedResult', 'A result that is another, is there only now or is there no more.', {
  run: Type.Integer({ minimum: 0, maximum: 19, description: 'Index of the run.' }),
  quantity: QuantityId,
  from: Type.Optional(Figure),
  to: Type.Optional(Figure),
})

const NamedFinding = part('NamedFinding', 'A finding, by its name and place.', {
  id: Type.String({ maxLength: 80, description: 'Id in the findings catalogue.' }),
  severity: Type.Enum([...SEVERITIES], { description: 'How grave it is.' }),
  run: Type.Optional(Type.Integer({ minimum: 0, maximum: 19, description: 'Index of the run.' })),
  place: Pointer('JSON Pointer into the sheet.'),
})
export type NamedFinding = Static<typeof NamedFinding>
const Findings = (description: string) => Type.Array(NamedFinding, { maxItems: 500, description })

export const VersionDifference = part('VersionDifference', 'What changed from one version of a test to another.', {
  from: Id('test', 'Id of the one version.'),
  to: Id('test', 'Id of the other.'),
  readings: Type.Array(ChangedReading, { maxItems: 20_000, description: 'In the order of the sheets.' }),
  results: Type.Array(ChangedResult, { maxItems: 1_200, description: 'Run by run.' }),
  appeared: Findings('Findings of the other version alone.'),
  vanished: Findings('Findings of the one version alone.'),
})
export type VersionDifference = Static<typeof VersionDifference>

const Difference = part('ReplayDifference', 'A member that is another than the stored one.', {
  pointer: Pointer('JSON Pointer into the evaluation.'),
  stored: AtPointer('What is stored there; absent where nothing is.'),
  recomputed: AtPointer('What comes out now; absent where nothing does.'),
})

export const TestReplay = part('TestReplay', 'Sheet and context of a test, evaluated again.', {
  test: Id('test', 'Id of the test.'),
  recordedEdition: Type.String({ maxLength: 20, description: 'Method edition of the recorded evaluation.' }),
  edition: Type.String({ maxLength: 20, description: 'Method edition it was evaluated under now.' }),
  outcome: Type.Enum(['identical', 'differs', 'not-evaluable'], {
    description: '`identical` to the last bit; `not-evaluable` where nothing came out at all.',
  }),
  comparedWith: Type.Enum(['replay', 'document', 'record'], {
    description:
      'What stands for the stored evaluation: the very one recorded, `replay` or `document`, or of the `record` ' +
      'soundness, findings and main quantities, which is all that is kept.',
  }),
  storedSha256: Type.String({ maxLength: 64, description: 'SHA-256 of the recorded evaluation.' }),
  recomputedSha256: Type.Optional(Type.String({ maxLength: 64, description: 'SHA-256 of what came out now.' })),
  differences: Type.Array(Difference, {
    maxItems: 50_000,
    description:
      'Every one, in the order of the document. Compared with the `record` there may be none though the outcome is ' +
      '`differs`: then it is in what is not kept, as in the words of a finding.',
  }),
})
export type TestReplay = Static<typeof TestReplay>
