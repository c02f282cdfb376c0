/** What the API says about a stored test. */
import { Advice, Finding, HandCheck, Result, SOUNDNESS, Withheld } from '@liftledger/calc'
import { type Static, Type } from 'typebox'
import { Id } from '../http/ids.ts'

const Digest = (description: string) =>
  Type.String({ pattern: '^[0-9a-f]{64}$', minLength: 64, maxLength: 64, description })
const Code = (description: string) => Type.String({ minLength: 1, maxLength: 40, description })
const Day = (description: string) => Type.String({ format: 'date', maxLength: 10, description })
const Instant = (description: string) => Type.String({ format: 'date-time', maxLength: 30, description })
const Path = (description: string) => Type.String({ maxLength: 200, description })

const Soundness = Type.Enum([...SOUNDNESS], {
  description: '`sound`, `in-question` while a finding of severity hold is open, `unsound` while a reject is.',
})

const TestLinks = Type.Object(
  {
    self: Path('The test.'),
    results: Path('Its results.'),
    findings: Path('Its findings.'),
    trace: Path('Trace of a quantity; put the id of the quantity in place of `{quantity}`.'),
    plant: Path('The plant.'),
  },
  { title: 'TestLinks', description: 'Where to read on.', additionalProperties: false },
)

const identity = {
  id: Id('test', 'Id of the test.'),
  plant: Code('Code of the plant.'),
  testedOn: Day('Date of the visit.'),
  receivedAt: Instant('When the sheet was received.'),
  edition: Type.String({ maxLength: 20, description: 'Method edition of the evaluation.' }),
  soundness: Soundness,
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
    replay: Type.Enum(['identical', 'differs'], {
      description: 'Whether evaluating sheet and context again gave the very evaluation that was recorded.',
    }),
    ledgerIndex: Type.Integer({ minimum: 0, maximum: Number.MAX_SAFE_INTEGER, description: 'Place in the ledger.' }),
    results: Type.Array(Result, { maxItems: 600, description: 'Computed quantities, run by run.' }),
    withheld: Type.Array(Withheld, { maxItems: 600, description: 'Quantities computed but not reported.' }),
    findings: Type.Array(Finding, { maxItems: 500, description: 'Gravest first.' }),
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
      { title: 'FindingCounts', description: 'Findings by severity.', additionalProperties: false },
    ),
  },
  { title: 'TestSummary', description: 'A test in a list.', additionalProperties: false },
)
export type TestSummary = Static<typeof TestSummary>

export const TestResults = Type.Object(
  {
    test: Id('test', 'Id of the test.'),
    edition: identity.edition,
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
    soundness: Soundness,
    findings: Type.Array(Finding, { maxItems: 500, description: 'Gravest first.' }),
    advice: Type.Array(Advice, { maxItems: 200, description: 'What to re-measure first.' }),
  },
  { title: 'TestFindings', description: 'Findings of a test, and advice.', additionalProperties: false },
)

export const TestParams = Type.Object({ testId: Type.String({ maxLength: 60, description: 'Id of the test.' }) })
