/**
 * Brings narrow rows into the cells, in the order of their places: one transaction a step, so that cells and the place up
 * to which they reach are always of one moment.
 */
import type pg from 'pg'
import { byteaArray, textArray } from '../db/binary-array.ts'
import { Slices } from '../http/slices.ts'
import { type Cell, emptyCell, isEmpty, LAYOUT, pack, plus, still, unpack } from './cell.ts'
import { contribute } from './contribute.ts'
import { CUBOIDS, type Cuboid, joined } from './dimensions.ts'
import { byPlant, type FactRow, factsOfPlants } from './facts.ts'
import { type Considered, consider, historyOf, type Scope, scopeId, scopesOf } from './plant.ts'

export interface FoldStep {
  readonly rows: number
  readonly cells: number
  /** Up to where rows are in the cells. */
  readonly place: number
}

/** Any constant; equal in all processes on one database, and no other lock's. */
const LOCK = 7_302_011_777
const ROWS_MAX = 5_000
/** Plants whose rows are asked for in one message. */
const PLANTS_AT_ONCE = 25

/** For tests: called between the statements of a step; what it throws ends the step as a crash would. */
export type Between = (what: string) => void

export interface FoldOptions {
  readonly rowsMax?: number
  readonly between?: Between
}

/**
 * Folds the next rows; undefined where another process is at it. Any error is the database's, and leaves the cells as
 * they were.
 */
export async function foldStep(pool: pg.Pool, options: FoldOptions = {}): Promise<FoldStep | undefined> {
  const client = await pool.connect()
  let broken: Error | undefined
  try {
    // Requests have their turn between two statements, so that the server may hear nothing for a while.
    await client.query(`begin; set local idle_in_transaction_session_timeout = '2min'`)
    const { rows } = await client.query<{ locked: boolean }>('select pg_try_advisory_xact_lock($1) as locked', [LOCK])
    const step = rows[0]!.locked ? await foldNext(client, options) : undefined
    options.between?.('commit')
    await client.query('commit')
    return step
  } catch (error) {
    broken = error as Error
    throw error
  } finally {
    // Ending the connection takes back what was begun.
    client.release(broken)
  }
}

async function foldNext(client: pg.PoolClient, { rowsMax = ROWS_MAX, between }: FoldOptions): Promise<FoldStep> {
  const folded = await reached(client)
  const { rows } = await client.query<{ n: number; place: number | null; size: number; plants: string[] | null }>(
    `select count(*) as n, max(place) as place, coalesce(max(ledger_size), 0) as size, array_agg(distinct plant_id) as plants
     from (select place, ledger_size, plant_id from ll.test_fact where place > $1 order by place limit $2) next`,
    [folded, rowsMax],
  )
  const { n, place, size, plants } = rows[0]!
  if (place === null) return { rows: 0, cells: 0, place: folded }
  between?.('read')
  const changes: Changes = new Map()
  const slices = new Slices()
  for (let from = 0; from < plants!.length; from += PLANTS_AT_ONCE) {
    const facts = await factsOfPlants(client, plants!.slice(from, from + PLANTS_AT_ONCE), place)
    for (const own of byPlant(facts)) await addChange(changes, own, folded, slices)
  }
  const cells = await apply(client, changes, place, between)
  await client.query('update ll.statistics_fold set place = $1, ledger_size = greatest(ledger_size, $2)', [place, size])
  between?.('marked')
  return { rows: Number(n), cells, place }
}

/** Up to where the cells reach. Cells of another layout are thrown away, and made again from the first row. */
async function reached(client: pg.PoolClient): Promise<number> {
  const { rows } = await client.query<{ place: number; layout: number }>(
    'select place, layout from ll.statistics_fold for update',
  )
  if (rows[0] === undefined) throw new Error('The row that says how far the statistics reach is gone.')
  if (rows[0].layout === LAYOUT) return Number(rows[0].place)
  await client.query('delete from ll.statistics_cell')
  await client.query('update ll.statistics_fold set place = 0, layout = $1', [LAYOUT])
  return 0
}

interface Change {
  readonly scope: string
  readonly cuboid: number
  readonly key: readonly string[]
  readonly cell: Cell
}

/** By scope and cuboid, then by the name of the key. */
type Changes = Map<string, Map<string, Change>>

/** What a plant adds now, less what it added before. Of very many tests of one plant a piece takes longer than a slice. */
async function addChange(changes: Changes, rows: readonly FactRow[], folded: number, slices: Slices): Promise<void> {
  const after = historyOf(rows)
  const before = rows[0]!.place <= folded ? historyOf(rows, folded) : undefined
  for (const scope of scopesOf(after)) {
    if (slices.isOver) await slices.next()
    const now = consider(after, scope)
    const then = before === undefined ? [] : consider(before, scope)
    const years = changedYears(then, now)
    if (years.size === 0) continue
    for (const [tests, sign] of [
      [now, 1],
      [then, -1],
    ] as const) {
      await contributeAll(changes, tests, { scope, cuboids: ALL_YEARS, sign }, slices)
      const ofYears = tests.filter(({ test }) => years.has(yearOf(test)))
      await contributeAll(changes, ofYears, { scope, cuboids: BY_YEAR, sign }, slices)
    }
  }
}

const BY_YEAR = CUBOIDS.filter(({ dimensions }) => dimensions.includes('year'))
const ALL_YEARS = CUBOIDS.filter(({ dimensions }) => !dimensions.includes('year'))

const yearOf = ({ tested_on }: FactRow): string => tested_on!.slice(0, 4)

/** Years in which a test counts that didn't, or is left out for another reason. */
function changedYears(before: readonly Considered[], after: readonly Considered[]): Set<string> {
  const held = new Map(before.map(({ test, left }) => [test, left]))
  const years = new Set<string>()
  for (const { test, left } of after) {
    if (!held.has(test) || held.get(test) !== left) years.add(yearOf(test))
    held.delete(test)
  }
  for (const test of held.keys()) years.add(yearOf(test))
  return years
}

interface Share {
  readonly scope: Scope
  readonly cuboids: readonly Cuboid[]
  readonly sign: 1 | -1
}

async function contributeAll(
  changes: Changes,
  tests: readonly Considered[],
  { scope, cuboids, sign }: Share,
  slices: Slices,
): Promise<void> {
  if (tests.length === 0) return
  const id = scopeId(scope)
  for (const cuboid of cuboids) {
    if (slices.isOver) await slices.next()
    const group = `${id} ${cuboid.id}`
    const own = changes.get(group) ?? new Map<string, Change>()
    changes.set(group, own)
    const cellOf = (key: readonly string[], name: string): Cell => {
      let change = own.get(name)
      if (change === undefined) {
        change = { scope: id, cuboid: cuboid.id, key, cell: emptyCell() }
        own.set(name, change)
      }
      return change.cell
    }
    contribute(tests, cuboid.dimensions, cellOf, sign)
  }
}

const CELLS_AT_ONCE = 100

/** Adds the changes to the cells; one that holds nothing any more is taken out. */
async function apply(
  client: pg.PoolClient,
  changes: Changes,
  place: number,
  between: Between | undefined,
): Promise<number> {
  const all = [...changes.values()].flatMap((own) => [...own.values()])
  for (let from = 0; from < all.length; from += CELLS_AT_ONCE) {
    const some = all
      .slice(from, from + CELLS_AT_ONCE)
      .map(({ cell, ...named }) => ({ ...named, cell: still(cell) }))
      .filter(({ cell }) => !isEmpty(cell))
    if (some.length === 0) continue
    const names = [some.map(({ scope }) => scope), some.map(({ cuboid }) => cuboid), textArray(some.map(keyText))]
    const { rows } = await client.query<{ n: number; body: Buffer }>(
      `select asked.n, cell.body
       from unnest($1::uuid[], $2::smallint[], $3::text[]) with ordinality asked(scope, cuboid, key, n)
       join ll.statistics_cell cell on cell.scope = asked.scope and cell.cuboid = asked.cuboid
                                   and cell.key = string_to_array(asked.key, '|')`,
      names,
    )
    const stored = new Map(rows.map(({ n, body }) => [Number(n) - 1, body]))
    between?.('cells read')
    const bodies = some.map(({ cell }, n) => {
      const body = stored.get(n)
      const sum = body === undefined ? cell : plus(unpack(body), cell)
      return isEmpty(sum) ? undefined : pack(sum)
    })
    await client.query(
      `with now as (
         select scope, cuboid, string_to_array(key, '|') as key, body
         from unnest($1::uuid[], $2::smallint[], $3::text[], $4::bytea[]) now(scope, cuboid, key, body)
       ), gone as (
         delete from ll.statistics_cell cell using now
         where now.body is null and cell.scope = now.scope and cell.cuboid = now.cuboid and cell.key = now.key
       )
       insert into ll.statistics_cell (scope, cuboid, key, body, place)
         select scope, cuboid, key, body, $5 from now where body is not null
         on conflict (scope, cuboid, key) do update set body = excluded.body, place = excluded.place`,
      [...names, byteaArray(bodies), place],
    )
    between?.('cells written')
  }
  return all.length
}

const keyText = ({ key }: Pick<Change, 'key'>): string => joined(key)

/** Throws the cells away and makes them again from all rows. Answers how many rows there were. */
export async function rebuild(pool: pg.Pool, rowsMax = 20_000): Promise<number> {
  await pool.query('update ll.statistics_fold set layout = 0')
  let rows = 0
  for (;;) {
    const step = await foldStep(pool, { rowsMax })
    if (step?.rows === 0) return rows
    rows += step?.rows ?? 0
  }
}
