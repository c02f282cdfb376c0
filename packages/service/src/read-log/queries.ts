/** Questions about the read log. Row-level security decides which rows there are. */
import { extend, type ReadLogEntry, rootOf, type TreeRange, toHex } from '@liftledger/ledger'
import { sql, type Transaction } from 'kysely'
import type { Database } from '../db/schema.ts'
import { leafOf } from './rows.ts'
import type { ReadHour } from './schemas.ts'

type Tx = Transaction<Database>

/** Whether the reader may see the test. */
export async function seesTest(tx: Tx, testId: string): Promise<boolean> {
  const found = await tx.selectFrom('field_test').select('id').where('id', '=', testId).executeTakeFirst()
  return found !== undefined
}

/** Reads of one test before a place, the newest first. */
export function listReadsOfTest(tx: Tx, testId: string, before: number | undefined, limit: number) {
  return tx
    .selectFrom('read_log')
    .selectAll()
    .where('test_id', '=', testId)
    .$if(before !== undefined, (query) => query.where('place', '<', before!))
    .orderBy('place', 'desc')
    .limit(limit)
    .execute()
}

/** Reads after a place, in order; of one hour where it is named. */
export function listReads(tx: Tx, hour: Date | undefined, after: number, limit: number) {
  return tx
    .selectFrom('read_log')
    .selectAll()
    .where('place', '>', after)
    .$if(hour !== undefined, (query) => query.where('hour', '=', hour!).orderBy('hour'))
    .orderBy('place')
    .limit(limit)
    .execute()
}

const EMPTY: TreeRange = { size: 0, peaks: [] }
const ROWS_MAX = 1_000

/** The rows of an hour, hashed anew, against what the ledger holds of them. Asked by who sees all rows. */
export async function checkHour(tx: Tx, hour: Date): Promise<ReadHour> {
  const recorded = await recordedHour(tx, hour)
  let first: number | undefined
  let tree = EMPTY
  let after = -1
  for (;;) {
    const rows = await listReads(tx, hour, after, ROWS_MAX)
    first ??= rows[0]?.place
    tree = extend(tree, rows.map(leafOf))
    if (rows.length < ROWS_MAX) break
    after = rows.at(-1)!.place
  }
  const found = { count: tree.size, ...(first !== undefined && { first }), root: toHex(rootOf(tree)) }
  const about = { hour: hour.toISOString(), found }
  if (recorded !== undefined) {
    const { index, entry } = recorded
    const { at, count, first: from, root } = entry
    const same = found.count === count && first === from && found.root === root
    return { ...about, outcome: same ? 'same' : 'differs', recorded: { index, at, count, first: from, root } }
  }
  // Once a later hour is in the ledger, this one can only have rows that came afterwards.
  if (await isLaterRecorded(tx, hour)) return { ...about, outcome: found.count === 0 ? 'no-reads' : 'differs' }
  return { ...about, outcome: 'not-recorded' }
}

const entriesOf = (tx: Tx) =>
  tx.selectFrom('ledger_entry').select(['index', 'entry']).where('kind', '=', 'read-log').orderBy('index', 'desc')

const hourSaid = sql<string>`convert_from(entry, 'UTF8')::json ->> 'hour'`

async function recordedHour(tx: Tx, hour: Date): Promise<{ index: number; entry: ReadLogEntry } | undefined> {
  const row = await entriesOf(tx).where(hourSaid, '=', hour.toISOString()).limit(1).executeTakeFirst()
  return row && { index: row.index, entry: JSON.parse(row.entry.toString('utf8')) as ReadLogEntry }
}

async function isLaterRecorded(tx: Tx, hour: Date): Promise<boolean> {
  return (await entriesOf(tx).where(hourSaid, '>', hour.toISOString()).limit(1).executeTakeFirst()) !== undefined
}
