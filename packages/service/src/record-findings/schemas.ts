/** Findings from the record with what they rest on, on the wire. */
import { Finding } from '@liftledger/calc'
import { type Static, Type } from 'typebox'
import { Id } from '../http/ids.ts'
import { ComparedWithRecord, FindingFromRecord } from './told.ts'

const part = { additionalProperties: false }
const Digest = (description: string) =>
  Type.String({ pattern: '^[0-9a-f]{64}$', minLength: 64, maxLength: 64, description })

const FindingWithBasis = Type.Object(
  {
    ...FindingFromRecord.properties,
    basisSha256: Digest('SHA-256 over `salt` and the canonical JSON (RFC 8785) of `basis`.'),
    basis: Type.Optional(
      Type.Object(
        {
          against: Type.Array(Id('test', 'Id of a test.'), {
            maxItems: 500,
            description: 'Tests that it was decided against, the most telling first.',
          }),
          values: Type.Array(Finding.properties.values.items, {
            maxItems: 20,
            description: 'What it used of tests of another firm.',
          }),
        },
        {
          title: 'FindingBasis',
          description: 'What the finding rests on; only for who may read every one of these tests.',
          ...part,
        },
      ),
    ),
  },
  { title: 'FindingWithBasis', description: 'A finding from the record, with what it rests on.', ...part },
)

export const RecordFindings = Type.Object(
  {
    test: Id('test', 'Id of the test.'),
    compared: ComparedWithRecord.properties.compared,
    comparedAt: ComparedWithRecord.properties.comparedAt,
    before: Type.Optional(
      Type.Integer({
        minimum: 0,
        maximum: Number.MAX_SAFE_INTEGER,
        description: 'Place of the test in the ledger: it was compared with what stands before.',
      }),
    ),
    edition: Type.Optional(Type.String({ maxLength: 20, description: 'Method edition whose rules were applied.' })),
    salt: Type.Optional(
      Type.String({
        pattern: '^[0-9a-f]{32}$',
        minLength: 32,
        maxLength: 32,
        description: 'The salt, by which the hashes can be checked.',
      }),
    ),
    sha256: Type.Optional(
      Digest(
        'SHA-256 over `salt` and the canonical JSON of the findings as a bundle has them; the hash in the ledger, of an ' +
          'entry of kind `record-findings`.',
      ),
    ),
    findings: Type.Optional(
      Type.Array(FindingWithBasis, { maxItems: 500, description: 'Gravest first; absent while the test waits.' }),
    ),
  },
  { title: 'RecordFindings', description: 'What comparing a test with the record found.', ...part },
)
export type RecordFindings = Static<typeof RecordFindings>
