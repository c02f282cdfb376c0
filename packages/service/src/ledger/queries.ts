/** Questions about entries. Row-level security decides which there are. */
import { type Expression, expressionBuilder, type SqlBool, sql, type Transaction } from 'kysely'
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

/** Kinds of entries that say of a version that it took the place of another, or that it was taken back. */
const OF_LATER_VERSIONS = ['revision', 'withdrawal']

/**
 * The entries that say something about tests: those under their ids, and of the versions that took their place one
 * after the other, that they did and whether they were withdrawn. A revision’s entry stands under the id of the new
 * version: without them nothing would say that a test was superseded.
 */
export async function entriesAbout(
  tx: Transaction<Database>,
  testIds: readonly string[],
): Promise<Expression<SqlBool>> {
  // Each step is one look into a unique index.
  const { rows } = await sql<{ id: string }>`
    with recursive later as (
      select id from field_test where revision_of = any(${[...testIds]}::uuid[])
      union
      select after.id from later join field_test after on after.revision_of = later.id
    ) select id from later`.execute(tx)
  const { or, and, eb } = expressionBuilder<Database, 'ledger_entry'>()
  const own = eb('subject', 'in', [...testIds])
  if (rows.length === 0) return own
  const later = rows.map(({ id }) => id)
  return or([own, and([eb('subject', 'in', later), eb('kind', 'in', OF_LATER_VERSIONS)])])
}

/** Entries from an index on, in order; what says something about a test, where it is named. */
export async function listEntries(
  tx: Transaction<Database>,
  { from, testId, limit }: { from: number; testId: string | undefined; limit: number },
) {
  const about = testId === undefined ? undefined : await entriesAbout(tx, [testId])
  return tx
    .selectFrom('ledger_entry')
    .selectAll()
    .where('index', '>=', from)
    .$if(about !== undefined, (query) => query.where(about!))
    .orderBy('index')
    .limit(limit)
    .execute()
}
