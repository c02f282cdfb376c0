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
  readonly edition: string
  readonly ledgerIndex: number
}

export interface Queue {
  /** How many were compared so far. */
  readonly compared: number
  readonly waiting: readonly WaitingTest[]
  /** The last entry of the ledger that was looked at for them. */
  readonly end: number
  /** Entries of the ledger that were not looked at. */
  readonly behind: number
}

/** `passed` is the last entry that needs no look any more, beside what was compared. */
export async function nextInQueue(tx: Transaction<Database>, passed: number, limit: number): Promise<Queue> {
  const { rows } = await sql<{ compared: number; after: number; last: number }>`
    select coalesce(last.ordinal + 1, 0) as compared, coalesce(last.ledger_index, -1) as after,
           coalesce((select max(index) from ledger_entry), -1) as last
    from (select) one left join lateral
      (select ordinal, ledger_index from record_comparison order by ordinal desc limit 1) last on true`.execute(tx)
  const { compared, last } = rows[0]!
  const after = Math.max(passed, Number(rows[0]!.after))
  const waiting = await tx
    .selectFrom('ledger_entry as entry')
    .innerJoin('field_test as test', 'test.id', 'entry.subject')
    .select(['test.id', 'test.firm_id as firmId', 'test.plant_id as plantId', 'test.tester_id as testerId'])
    .select(['test.tested_on as testedOn', 'test.revision_of as revises', 'test.raw_sha256 as rawSha256'])
    .select('test.edition')
    .select('entry.index as ledgerIndex')
    .where('entry.index', '>', after)
    .where('entry.kind', 'in', ['test', 'revision'])
    .orderBy('entry.index')
    .limit(limit)
    .execute()
  const rowsOf = waiting.map((one) => ({ ...one, ledgerIndex: Number(one.ledgerIndex) }))
  // Fewer than asked for: up to the last entry there are no more.
  const end = Math.max(rowsOf.at(-1)?.ledgerIndex ?? after, rowsOf.length < limit ? Number(last) : -1)
  return { compared: Number(compared), waiting: rowsOf, end, behind: Math.max(0, Number(last) - end) }
}
