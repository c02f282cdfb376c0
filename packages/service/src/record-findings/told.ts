/** What comparing a test with the record found, as it is told beside its evaluation. A door: whoever answers of a test asks here. */
import { Finding } from '@liftledger/calc'
import type { Transaction } from 'kysely'
import { type Static, Type } from 'typebox'
import type { Database } from '../db/schema.ts'

const part = { additionalProperties: false }

export const FindingFromRecord = Type.Object(
  {
    ...Finding.properties,
    decidedFrom: Type.Literal('record', { description: 'Decided from other tests, not from this sheet alone.' }),
  },
  {
    title: 'FindingFromRecord',
    description: 'A finding of comparing the test with the record. It tells nothing of tests of another firm.',
    ...part,
  },
)
export type FindingFromRecord = Static<typeof FindingFromRecord>

export const ComparedWithRecord = Type.Object(
  {
    compared: Type.Boolean({
      description:
        'Whether the test was compared with what the record held before it: other tests of the plant, and readings that ' +
        'other tests share. That follows a submission within seconds, in the order of the ledger.',
    }),
    comparedAt: Type.Optional(
      Type.String({ format: 'date-time', maxLength: 30, description: 'When; absent while it waits for that.' }),
    ),
    findings: Type.Optional(
      Type.Array(FindingFromRecord, {
        maxItems: 500,
        description:
          'What was found, beside the findings of the evaluation; empty for nothing, and absent while the test waits. A ' +
          'hold among them puts the test in question like any other.',
      }),
    ),
  },
  { title: 'ComparedWithRecord', description: 'What other tests say of a test.', ...part },
)
export type ComparedWithRecord = Static<typeof ComparedWithRecord>

/** Of a test that was stored just now. */
export const NOT_COMPARED: ComparedWithRecord = { compared: false }

interface Told {
  readonly finding: string
  readonly severity: string
  readonly run: number | null
  readonly place: string
  readonly message: string
  readonly remedy: string
  /** As JSON. */
  readonly figures: unknown
  readonly limits: unknown
}

export const toFindingFromRecord = ({
  finding,
  severity,
  run,
  figures,
  limits,
  ...words
}: Told): FindingFromRecord => ({
  id: finding,
  decidedFrom: 'record',
  severity: severity as FindingFromRecord['severity'],
  ...(run !== null && { run }),
  place: words.place,
  message: words.message,
  remedy: words.remedy,
  values: figures as FindingFromRecord['values'],
  limits: limits as FindingFromRecord['limits'],
})

/** The findings from the record about a test that the caller may see, in their order. */
export async function findingsFromRecord(tx: Transaction<Database>, testId: string): Promise<FindingFromRecord[]> {
  const rows = await tx
    .selectFrom('record_finding')
    .select(['finding', 'severity', 'run', 'place', 'message', 'remedy', 'figures', 'limits'])
    .where('test_id', '=', testId)
    .orderBy('n')
    .execute()
  return rows.map(toFindingFromRecord)
}
