/**
 * One publication: the tests that count at the end of a month, which of their changes come in, the cells, and what firms are
 * told of their peers; decided under a lock, and written in one transaction, once.
 */
import type pg from 'pg'
import { byPlant, type FactRow, factsOfPlants } from '../facts.ts'
import { consider, historyOf } from '../plant.ts'
import { admitted, type Change, cellsTouched } from './admit.ts'
import { customersOf, type KeptPlant } from './customers.ts'
import { type CountedTest, countedTest, LATTICE_VERSION } from './lattice.ts'
import { CellsExposed, cellsOfYear, isTellable, makeCells, type Publication, type PublishedCell } from './make.ts'
import { type PeersCell, peersOfAll } from './peers.ts'
import { RULES } from './rules.ts'

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
  const slots = await readSlots(client, cut.place, last)
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

/** A plant and year: the test in the publication before, and the one that counts now. */
interface Slot {
  readonly plant: string
  readonly year: number
  readonly before?: CountedTest
  readonly after?: CountedTest
}

const PLANTS_AT_ONCE = 2_000
const slotName = (plant: string, year: number): string => `${plant} ${year}`

/** Plant by plant: of all that happened, only the tests that are or were counted are held. */
async function readSlots(client: pg.ClientBase, upTo: number, last: Last | undefined): Promise<Map<string, Slot>> {
  const { rows: kept } = await client.query<KeptPlant>('select firm_id, plant_id, reference from ll.firm_plant')
  const customerOf = customersOf(kept)
  const told = last === undefined ? new Map<string, string>() : await testsTold(client)
  const { rows } = await client.query<{ plant_id: string }>(
    'select distinct plant_id from ll.test_fact where place <= $1 order by plant_id',
    [upTo],
  )
  const plants = rows.map(({ plant_id }) => plant_id)
  const slots = new Map<string, Slot>()
  for (let from = 0; from < plants.length; from += PLANTS_AT_ONCE) {
    const facts = await factsOfPlants(client, plants.slice(from, from + PLANTS_AT_ONCE), upTo)
    for (const own of byPlant(facts)) {
      for (const slot of slotsOf(own, told, customerOf)) slots.set(slotName(slot.plant, slot.year), slot)
    }
  }
  return slots
}

/** The tests in the last publication, by plant and year. */
async function testsTold(client: pg.ClientBase): Promise<Map<string, string>> {
  const { rows } = await client.query<{ plant_id: string; year: number; test_id: string | null }>(
    `select distinct on (plant_id, year) plant_id, year, test_id from ll.published_test
     order by plant_id, year, month desc`,
  )
  return new Map(rows.flatMap((row) => (row.test_id === null ? [] : [[slotName(row.plant_id, row.year), row.test_id]])))
}

function slotsOf(
  rows: readonly FactRow[],
  told: ReadonlyMap<string, string>,
  customerOf: (plant: string) => string,
): Slot[] {
  const slots = new Map<number, { before?: CountedTest; after?: CountedTest }>()
  const plant = rows[0]!.plant_id
  for (const { test, left } of consider(historyOf(rows), { of: 'all' })) {
    const year = Number(test.tested_on!.slice(0, 4))
    const wasTold = told.get(slotName(plant, year)) === test.test_id
    if (left !== undefined && !wasTold) continue
    const counted = countedTest(test, customerOf(plant))
    const slot = {
      ...slots.get(year),
      ...(wasTold && { before: counted }),
      ...(left === undefined && { after: counted }),
    }
    slots.set(year, slot)
  }
  return [...slots].map(([year, slot]) => ({ plant, year, ...slot }))
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

interface Decided extends Publication {
  readonly changes: number
  readonly heldBack: number
}

const isChange = ({ before, after }: Slot): boolean => before?.row.test_id !== after?.row.test_id
const driversOf = ({ before, after }: Change): string[] => [before, after].flatMap((test) => test?.driver ?? [])

/** Pure: which changes come in, and what the cells are. Changes of cells that could not be protected wait. */
async function decide(slots: readonly Slot[], before: Publication | undefined, yearNow: number): Promise<Decided> {
  const changes = slots.filter(isChange)
  const same = slots.filter((slot) => !isChange(slot))
  const drivers = [...new Set(slots.flatMap(driversOf))].sort()
  let free: readonly Slot[] = changes.filter(isRipe(slots, yearNow))
  for (;;) {
    // There is nothing to compare the first one with.
    const come = new Set<Change>(before === undefined ? free : admitted(free))
    const tests = [...same, ...changes].flatMap((slot) => (come.has(slot) ? slot.after : slot.before) ?? [])
    try {
      const cells: PublishedCell[] = []
      for (const driver of drivers) cells.push(...(await makeCells(tests, before, driver)))
      return { tests, cells, changes: changes.length, heldBack: changes.length - come.size }
    } catch (error) {
      if (!(error instanceof CellsExposed)) throw error
      free = free.filter(
        (change) => come.has(change) && ![...cellsTouched(change)].some((cell) => error.cells.has(cell)),
      )
    }
  }
}

/**
 * What is withheld stays withheld; so a year doesn't begin with the few tests of its first weeks. Its tests wait until each of
 * its cells may be told, or the year has ended.
 */
function isRipe(slots: readonly Slot[], yearNow: number): (slot: Slot) => boolean {
  const isTold = (year: number): boolean => slots.some((slot) => slot.year === year && slot.before !== undefined)
  const mayBeTold = (year: number): boolean =>
    cellsOfYear(slots.flatMap((slot) => (slot.year === year ? (slot.after ?? []) : []))).every(isTellable)
  const years = new Set(slots.map(({ year }) => year))
  const ripe = new Set([...years].filter((year) => year < yearNow || isTold(year) || mayBeTold(year)))
  return ({ year }) => ripe.has(year)
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
  const peers: [string, readonly PeersCell[]][] = [...peersOfAll(made.tests, made.cells)]
  await client.query(
    `insert into ll.published_peers (month, firm_id, cells) select $1, * from unnest($2::uuid[], $3::json[])`,
    [month, peers.map(([firm]) => firm), peers.map(([, cells]) => JSON.stringify(cells))],
  )
}
