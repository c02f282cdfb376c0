/**
 * One publication: the tests that count at the end of a month, which of their changes come in, the cells, and what firms are
 * told of their peers; decided under a lock, and written in one transaction, once.
 */
import type pg from 'pg'
import { type Decided, decide } from './decide.ts'
import { LATTICE_VERSION } from './lattice.ts'
import type { Publication, PublishedCell } from './make.ts'
import { type PeersCell, peersOfAll } from './peers.ts'
import { RULES } from './rules.ts'
import { readSlots, type Slot } from './slots.ts'

/** Any constant; equal in all processes on one database, and no other lock's. */
const LOCK = 7_302_011_779

export interface MonthToPublish {
  /** Such as 2026-10. */
  readonly month: string
  /** Tests received before this moment are in it. */
  readonly end: Date
  readonly at: Date
}

export interface PublishedMonth {
  readonly month: string
  readonly tests: number
  /** Plants and years whose counted test is another now, and how many of these changes wait for more of their kind. */
  readonly changes: number
  readonly heldBack: number
  readonly cells: number
  readonly withheld: number
}

/** Publishes a month; undefined where it was published, another process is at it, or no test was received in time. */
export async function publishMonth(pool: pg.Pool, asked: MonthToPublish): Promise<PublishedMonth | undefined> {
  const client = await pool.connect()
  let broken: Error | undefined
  try {
    // Of the session: what is decided takes seconds, in which no transaction is open.
    const { rows } = await client.query<{ locked: boolean }>('select pg_try_advisory_lock($1) as locked', [LOCK])
    if (!rows[0]!.locked) return undefined
    const made = await publishNext(client, asked)
    await client.query('select pg_advisory_unlock($1)', [LOCK])
    return made
  } catch (error) {
    broken = error as Error
    throw error
  } finally {
    // Ending the connection takes back what was begun, and the lock.
    client.release(broken)
  }
}

interface Last {
  readonly month: string
  readonly place: number
}

async function publishNext(client: pg.PoolClient, asked: MonthToPublish): Promise<PublishedMonth | undefined> {
  const last = await lastPublication(client)
  if (last !== undefined && last.month >= asked.month) return undefined
  const cut = await cutAt(client, asked.end, last)
  if (cut.place === 0 && last === undefined) return undefined
  const slots = await readSlots(client, cut.place, last === undefined)
  const before = last === undefined ? undefined : await readPublication(client, last, slots)
  const made = await decide([...slots.values()], before, asked.end.getUTCFullYear())
  await client.query('begin')
  await store(client, asked, cut, { slots, made })
  await client.query('commit')
  return {
    month: asked.month,
    tests: made.tests.length,
    changes: made.changes,
    heldBack: made.heldBack,
    cells: made.cells.length,
    withheld: made.cells.filter(({ mark }) => mark !== undefined).length,
  }
}

async function lastPublication(client: pg.ClientBase): Promise<Last | undefined> {
  const { rows } = await client.query<Last>(
    'select month, place from ll.statistics_publication order by month desc limit 1',
  )
  return rows[0] && { month: rows[0].month, place: Number(rows[0].place) }
}

interface Cut {
  readonly place: number
  readonly ledgerSize: number
}

/** Rows are in the order of their commits: all before the first test that was received too late are in. */
async function cutAt(client: pg.ClientBase, end: Date, last: Last | undefined): Promise<Cut> {
  const { rows } = await client.query<{ place: number; size: number }>(
    `select coalesce(max(place), 0) as place, coalesce(max(ledger_size), 0) as size from ll.test_fact
     where place < coalesce((select min(fact.place) from ll.test_fact fact join ll.field_test test on test.id = fact.test_id
                             where fact.happened = 'test' and fact.place > $2 and test.received_at >= $1),
                            9223372036854775807)`,
    [end, last?.place ?? 0],
  )
  return { place: Number(rows[0]!.place), ledgerSize: Number(rows[0]!.size) }
}

async function readPublication(
  client: pg.ClientBase,
  { month }: Last,
  slots: ReadonlyMap<string, Slot>,
): Promise<Publication> {
  const { rows } = await client.query<PublishedCell & { mark: PublishedCell['mark'] | null }>(
    'select family, driver, cell, mark, told from ll.published_cell where month = $1 order by family, driver, cell',
    [month],
  )
  return {
    tests: [...slots.values()].flatMap(({ before }) => before ?? []),
    cells: rows.map(({ mark, ...cell }) => ({ ...cell, ...(mark !== null && { mark }) })),
  }
}

interface ToStore {
  readonly slots: ReadonlyMap<string, Slot>
  readonly made: Decided
}

async function store(
  client: pg.ClientBase,
  { month, at }: MonthToPublish,
  { place, ledgerSize }: Cut,
  { slots, made }: ToStore,
): Promise<void> {
  await client.query(
    `insert into ll.statistics_publication (month, published_at, place, ledger_size, lattice, rules)
     values ($1, $2, $3, $4, $5, $6)`,
    [month, at, place, ledgerSize, LATTICE_VERSION, JSON.stringify(RULES)],
  )
  const isIn = new Set(made.tests)
  const moved = [...slots.values()].flatMap(({ plant, year, before, after }) => {
    const now = [after, before].find((test) => test !== undefined && isIn.has(test))
    return now?.row.test_id === before?.row.test_id ? [] : [{ plant, year, test: now?.row.test_id ?? null }]
  })
  await client.query(
    `insert into ll.published_test (month, plant_id, year, test_id)
     select $1, * from unnest($2::uuid[], $3::smallint[], $4::uuid[])`,
    [month, moved.map(({ plant }) => plant), moved.map(({ year }) => year), moved.map(({ test }) => test)],
  )
  await client.query(
    `insert into ll.published_cell (month, family, driver, cell, mark, told)
     select $1, * from unnest($2::text[], $3::text[], $4::text[], $5::text[], $6::json[])`,
    [
      month,
      made.cells.map(({ family }) => family),
      made.cells.map(({ driver }) => driver),
      made.cells.map(({ cell }) => cell),
      made.cells.map(({ mark }) => mark ?? null),
      made.cells.map(({ told }) => JSON.stringify(told)),
    ],
  )
  const peers: [string, readonly PeersCell[]][] = [...peersOfAll(made)]
  await client.query(
    `insert into ll.published_peers (month, firm_id, cells) select $1, * from unnest($2::uuid[], $3::json[])`,
    [month, peers.map(([firm]) => firm), peers.map(([, cells]) => JSON.stringify(cells))],
  )
}
