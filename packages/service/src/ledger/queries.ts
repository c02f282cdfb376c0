/** Questions about entries. Row-level security decides which there are. */
import type { Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'

/** Bytes of the entries from `first` up to, without, `end`, in order. */
export async function entryBytesOf(tx: Transaction<Database>, first: number, end: number): Promise<Buffer[]> {
  const rows = await tx
    .selectFrom('ledger_entry')
    .select('entry')
    .where('index', '>=', first)
    .where('index', '<', end)
    .orderBy('index')
    .execute()
  return rows.map(({ entry }) => entry)
}

/** Entries from an index on, in order; of one test where it is named. */
export async function listEntries(
  tx: Transaction<Database>,
  { from, testId, limit }: { from: number; testId: string | undefined; limit: number },
) {
  return tx
    .selectFrom('ledger_entry')
    .selectAll()
    .where('index', '>=', from)
    .$if(testId !== undefined, (query) => query.where('subject', '=', testId!))
    .orderBy('index')
    .limit(limit)
    .execute()
}
