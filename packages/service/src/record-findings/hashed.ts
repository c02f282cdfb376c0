/** What comparing tests with the record found, in the bytes that were hashed. A door: bundles are made of them. */
import { type RecordFindingText, recordFindingsBytes } from '@liftledger/ledger'
import type { Selectable, Transaction } from 'kysely'
import type { Database, RecordFinding } from '../db/schema.ts'
import { toWire } from '../http/ids.ts'

export interface HashedFindings {
  /** UUID. */
  readonly testId: string
  readonly salt: Uint8Array
  readonly findings: Uint8Array
}

const textOf = (row: Selectable<RecordFinding>): RecordFindingText => ({
  id: row.finding,
  severity: row.severity,
  ...(row.run !== null && { run: row.run }),
  ...{ place: row.place, message: row.message, remedy: row.remedy },
  values: row.figures as unknown as unknown[],
  limits: row.limits as unknown as unknown[],
  basisSha256: row.basis_sha256.toString('hex'),
})

/** Of the tests that were compared, and that the caller may see. */
export async function hashedFindings(tx: Transaction<Database>, testIds: readonly string[]): Promise<HashedFindings[]> {
  const comparisons = await tx
    .selectFrom('record_comparison')
    .select(['test_id', 'ledger_index', 'edition', 'salt'])
    .where('test_id', 'in', [...testIds])
    .execute()
  const rows = await tx
    .selectFrom('record_finding')
    .selectAll()
    .where('test_id', 'in', [...testIds])
    .orderBy('n')
    .execute()
  const byTest = Map.groupBy(rows, ({ test_id }) => test_id)
  return comparisons.map(({ test_id: testId, ledger_index, edition, salt }) => {
    const findings = (byTest.get(testId) ?? []).map(textOf)
    const text = { test: toWire('test', testId), before: Number(ledger_index), edition, findings }
    return { testId, salt, findings: recordFindingsBytes(text) }
  })
}
