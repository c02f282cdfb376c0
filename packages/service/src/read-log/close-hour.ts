/** Closes an hour of the read log: the root over its rows becomes one entry of the ledger. */
import { extend, type ReadLogEntry, rootOf, type TreeRange, toHex } from '@liftledger/ledger'
import type pg from 'pg'
import { appendEntry, ifUnlocked } from '../ledger/append.ts'
import { hourOf, leafOf, type StoredRead } from './rows.ts'

/** Rows that were there are gone, or moved to another hour, before their hour was closed. No root is given. */
export class ReadsMissing extends Error {
  constructor(place: number) {
    super(`The read at place ${place} is not where it was written; its hour is not closed.`)
    this.name = 'ReadsMissing'
  }
}

/** Any constant; equal in all processes on one database, and no other lock's. */
const LOCK = 7_302_011_556
const ROWS_MAX = 1_000
const EMPTY: TreeRange = { size: 0, peaks: [] }

/**
 * Closes the earliest hour that is over and has reads that no entry covers. Undefined where there is none, `busy` where
 * another process is closing one.
 *
 * From then on no row can come into an hour before that of `now`: who writes rows finds the later one open. So there is
 * no waiting for late ones. Throws {@link ReadsMissing}; any other error is the database’s.
 */
export async function closeHour(pool: pg.Pool, now: Date): Promise<ReadLogEntry | 'busy' | undefined> {
  await pool.query('update ll.read_log_head set hour = $1 where hour < $1', [hourOf(now)])
  const closed = await ifUnlocked(pool, async (client) => ({ entry: await close(client, now) }), LOCK)
  return closed === undefined ? 'busy' : closed.entry
}

async function close(client: pg.PoolClient, now: Date): Promise<ReadLogEntry | undefined> {
  const first = await endOfRecorded(client)
  const end = await endOfClosed(client, first)
  if (end === first) return undefined
  let hour: Date | undefined
  let tree = EMPTY
  for await (const rows of rowsBetween(client, first, end)) {
    const [head] = rows
    hour ??= head?.hour
    const own = rows.filter((row, n) => {
      if (row.place !== first + tree.size + n) throw new ReadsMissing(first + tree.size + n)
      return row.hour.getTime() === hour?.getTime()
    })
    tree = extend(tree, own.map(leafOf))
    if (own.length < rows.length) break
  }
  if (hour === undefined) throw new ReadsMissing(first)
  const entry: ReadLogEntry = {
    v: 1,
    kind: 'read-log',
    at: now.toISOString(),
    hour: hour.toISOString(),
    first,
    count: tree.size,
    root: toHex(rootOf(tree)),
  }
  await appendEntry(client, entry)
  return entry
}

/** Where the rows end that an entry covers. */
async function endOfRecorded(client: pg.PoolClient): Promise<number> {
  const { rows } = await client.query<{ entry: Buffer }>(
    `select entry from ll.ledger_entry where kind = 'read-log' order by index desc limit 1`,
  )
  if (rows[0] === undefined) return 0
  const { first, count } = JSON.parse(rows[0].entry.toString('utf8')) as ReadLogEntry
  return first + count
}

/** Where the rows end whose hour is over: at the first of the open hour, or at the next free place. */
async function endOfClosed(client: pg.PoolClient, first: number): Promise<number> {
  const { rows } = await client.query<{ end: number }>(
    `select coalesce((select min(place) from ll.read_log where hour >= head.hour and place >= $1), next) as end
     from ll.read_log_head head`,
    [first],
  )
  if (rows[0] === undefined) throw new Error('The row that says how far the read log reaches is gone.')
  return rows[0].end
}

/** In order; a page at a time, so that the process has time for others. */
async function* rowsBetween(client: pg.PoolClient, first: number, end: number): AsyncGenerator<StoredRead[]> {
  for (let from = first; from < end; from += ROWS_MAX) {
    const { rows } = await client.query<StoredRead>(
      'select * from ll.read_log where place >= $1 and place < $2 order by place',
      [from, Math.min(from + ROWS_MAX, end)],
    )
    // A page that lacks its last rows shows no gap by itself.
    const due = Math.min(ROWS_MAX, end - from)
    if (rows.length < due)
      throw new ReadsMissing(rows.find(({ place }, n) => place !== from + n)?.place ?? from + rows.length)
    yield rows
  }
}
