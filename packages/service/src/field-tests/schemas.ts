/** What the API says about a stored test. */
import { Advice, Finding, HandCheck, Result, Withheld } from '@liftledger/calc'
import { type Static, Type } from 'typebox'
import { SOUNDNESS_NOW } from '../db/read-tests.ts'
import { Id } from '../http/ids.ts'
import { ComparedWithRecord } from '../record-findings/told.ts'

export const Digest = (description: string) =>
  Type.String({ pattern: '^[0-9a-f]{64}$', minLength: 64, maxLength: 64, description })
const Code = (description: string) => Type.String({ minLength: 1, maxLength: 40, description })
export const Day = (description: string) => Type.String({ format: 'date', maxLength: 10, description })
export const Instant = (description: string) => Type.String({ format: 'date-time', maxLength: 30, description })
const Path = (description: string) => Type.String({ maxLength: 200, description })

export const SoundnessNow = Type.Enum([...SOUNDNESS_NOW], {
  description:
    'What findings, those from the record among them, make of the test: `sound`, `in-question` while a finding of ' +
    'severity hold is open, `unsound` while a reject is. For a program its own decisions count: a hold that does not stand is answered, one that stands ' +
    'makes the test unsound. `superseded` where a later version took its place, `withdrawn` where its firm took it back.',
})
const Revision = Type.Integer({
  minimum: 1,
  maximum: 10_000,
  description: 'Number of the version: 1 as first submitted, one more with each revision.',
})
const Replay = Type.Enum(['identical', 'differs'], {
  description: 'Whether evaluating sheet and context again gave the very evaluation that was recorded.',
})
const AnsweredFrom = Type.Enum(['replay', 'document', 'record'], {
  description:
    'Where the figures come from, which are those recorded in any case: `replay`, evaluated again; `document`, kept ' +
    'after the submission; `record`, main quantities and findings alone, where nothing else is kept.',
})

const figure = (description: string) => Type.Optional(Type.Number({ description }))
const RecordedFigures = Type.Object(
  {
    flowM3S: figure('Flow in m³/s.'),
    headM: figure('Total dynamic head in m.'),
    liftM: figure('Lift in m.'),
    inputPowerW: figure('Input power in W.'),
    efficiency: figure('Overall plant efficiency as a ratio.'),
    efficiencyU: figure('Half-width of its 95 % interval, as a ratio.'),
    specificCapacityM2S: figure('Specific capacity in m²/s.'),
    energyPerVolumeJM3: figure('Ratio of energy to volume, in J/m³.'),
  },
  {
    title: 'RecordedFigures',
    description:
      'Main quantities as recorded, of the run that stands for the usual condition; only where the figures come from ' +
      '`record`.',
    additionalProperties: false,
  },
)

const TestLinks = Type.Object(
  {
    self: Path('The test.'),
    results: Path('Its results.'),
    findings: Path('Its findings.'),
    trace: Path('Trace of a quantity; put the id of the quantity in place of `{quantity}`.'),
    efficiency: Path(
      'Trace of overall plant efficiency, down to readings; not there where the readings do not allow it.',
    ),
    sheet: Path('The sheet, byte for byte as received.'),
    context: Path('Certificates, equipment and qualification as they stood, byte for byte as hashed.'),
    plant: Path('The plant.'),
    versions: Path('All versions of the test: who submitted each, and when.'),
    recordFindings: Path('What comparing it with other tests found, and what that rests on.'),
    decisions: Path('What programs decided on its findings.'),
    replay: Path('What evaluating it again gives, difference by difference.'),
    entries: Path('Entries of the ledger about it; for auditors and keepers.'),
    bundle: Path('All it takes to verify it offline.'),
  },
  { title: 'TestLinks', description: 'Where to read on.', additionalProperties: false },
)

const identity = {
  id: Id('test', 'Id of the test.'),
  plant: Code('Code of the plant.'),
  testedOn: Day('Date of the visit.'),
  receivedAt: Instant('When the sheet was received.'),
  edition: Type.String({ maxLength: 20, description: 'Method edition of the evaluation.' }),
  soundness: SoundnessNow,
  revision: Revision,
  supersededBy: Type.Optional(Id('test', 'Id of the version that took its place.')),
}

export const FieldTest = Type.Object(
  {
    ...identity,
    tester: Code('Code of the tester.'),
    plantId: Id('plant', 'Id of the plant.'),
    firmId: Id('firm', 'Id of the firm that submitted it.'),
    rawSha256: Digest('SHA-256 of the body as received.'),
    contextSha256: Digest('SHA-256 of the canonical context.'),
    evaluationSha256: Digest('SHA-256 of the canonical evaluation, as recorded when the test was submitted.'),
    revises: Type.Optional(Id('test', 'Id of the version whose place it took.')),
    replay: Replay,
    answeredFrom: AnsweredFrom,
    recorded: Type.Optional(RecordedFigures),
    ledgerIndex: Type.Integer({ minimum: 0, maximum: Number.MAX_SAFE_INTEGER, description: 'Place in the ledger.' }),
    record: ComparedWithRecord,
    results: Type.Array(Result, { maxItems: 600, description: 'Computed quantities, run by run.' }),
    withheld: Type.Array(Withheld, { maxItems: 600, description: 'Quantities computed but not reported.' }),
    findings: Type.Array(Finding, { maxItems: 500, description: 'Of the evaluation, gravest first.' }),
    advice: Type.Array(Advice, { maxItems: 200, description: 'What to re-measure first.' }),
    handChecks: Type.Array(HandCheck, { maxItems: 20, description: 'By calculator, for each run that allows it.' }),
    links: TestLinks,
  },
  { title: 'FieldTest', description: 'A stored test with its results.', additionalProperties: false },
)
export type FieldTest = Static<typeof FieldTest>

export const TestSummary = Type.Object(
  {
    ...identity,
    compared: Type.Boolean({ description: 'Whether it was compared with the record; its findings are counted then.' }),
    flowM3S: Type.Optional(
      Type.Number({ description: 'Flow in m³/s of the run that stands for the usual condition.' }),
    ),
    headM: Type.Optional(Type.Number({ description: 'Total dynamic head in m.' })),
    inputPowerW: Type.Optional(Type.Number({ description: 'Input power in W.' })),
    overallPlantEfficiency: Type.Optional(Type.Number({ description: 'Overall plant efficiency as a ratio.' })),
    overallPlantEfficiencyExpandedUncertainty: Type.Optional(
      Type.Number({ minimum: 0, description: 'Half-width of its 95 % interval, as a ratio.' }),
    ),
    findings: Type.Object(
      {
        reject: Type.Integer({ minimum: 0, maximum: 500, description: 'Findings of severity reject.' }),
        hold: Type.Integer({ minimum: 0, maximum: 500, description: 'Findings of severity hold.' }),
        caution: Type.Integer({ minimum: 0, maximum: 500, description: 'Findings of severity caution.' }),
        note: Type.Integer({ minimum: 0, maximum: 500, description: 'Findings of severity note.' }),
      },
      {
        title: 'FindingCounts',
        description: 'Findings by severity, those from the record among them.',
        additionalProperties: false,
      },
    ),
  },
  { title: 'TestSummary', description: 'A test in a list.', additionalProperties: false },
)
export type TestSummary = Static<typeof TestSummary>

export const TestResults = Type.Object(
  {
    test: Id('test', 'Id of the test.'),
    edition: identity.edition,
    replay: Replay,
    answeredFrom: AnsweredFrom,
    recorded: Type.Optional(RecordedFigures),
    results: Type.Array(Result, { maxItems: 600, description: 'Computed quantities, run by run.' }),
    withheld: Type.Array(Withheld, { maxItems: 600, description: 'Quantities computed but not reported.' }),
    handChecks: Type.Array(HandCheck, { maxItems: 20, description: 'By calculator, for each run that allows it.' }),
  },
  { title: 'TestResults', description: 'Results of a test.', additionalProperties: false },
)

export const TestFindings = Type.Object(
  {
    test: Id('test', 'Id of the test.'),
    edition: identity.edition,
    soundness: SoundnessNow,
    replay: Replay,
    answeredFrom: AnsweredFrom,
    findings: Type.Array(Finding, { maxItems: 500, description: 'Of the evaluation, gravest first.' }),
    record: ComparedWithRecord,
    advice: Type.Array(Advice, { maxItems: 200, description: 'What to re-measure first.' }),
  },
  { title: 'TestFindings', description: 'Findings of a test, and advice.', additionalProperties: false },
)

export const TestParams = Type.Object({ testId: Type.String({ maxLength: 60, description: 'Id of the test.' }) })
