/** Which tests are compared next: in the order of the ledger, each once. */
import { sql, type Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'

/** A test that waits to be compared. Ids are UUIDs. */
export interface WaitingTest {
  readonly id: string
  readonly firmId: string
  readonly plantId: string
  readonly testerId: string
  /** `YYYY-MM-DD`. */
  readonly testedOn: string
  /** The version whose place it took. */
  readonly revises: string | null
  readonly rawSha256: Buffer
  readonly ledgerIndex: number
}

export interface Queue {
  /** How many were compared so far. */
  readonly compared: number
  readonly waiting: readonly WaitingTest[]
  /** Entries of the ledger behind the last test that was compared. */
  readonly behind: number
}

export async function nextInQueue(tx: Transaction<Database>, limit: number): Promise<Queue> {
  const { rows } = await sql<{ compared: number; after: number; last: number }>`
    select coalesce(last.ordinal + 1, 0) as compared, coalesce(last.ledger_index, -1) as after,
           coalesce((select max(index) from ledger_entry), -1) as last
    from (select) one left join lateral
      (select ordinal, ledger_index from record_comparison order by ordinal desc limit 1) last on true`.execute(tx)
  const { compared, after, last } = rows[0]!
  const waiting = await tx
    .selectFrom('ledger_entry as entry')
    .innerJoin('field_test as test', 'test.id', 'entry.subject')
    .select(['test.id', 'test.firm_id as firmId', 'test.plant_id as plantId', 'test.tester_id as testerId'])
    .select(['test.tested_on as testedOn', 'test.revision_of as revises', 'test.raw_sha256 as rawSha256'])
    .select('entry.index as ledgerIndex')
    .where('entry.index', '>', after)
    .where('entry.kind', 'in', ['test', 'revision'])
    .orderBy('entry.index')
    .limit(limit)
    .execute()
  const rowsOf = waiting.map((one) => ({ ...one, ledgerIndex: Number(one.ledgerIndex) }))
  return { compared: Number(compared), waiting: rowsOf, behind: Number(last) - Number(after) }
}
