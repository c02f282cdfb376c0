/** Reads the cells of a question: which there are comes from the database each time, what they hold is mostly known. */
import { CompiledQuery, type Transaction } from 'kysely'
import { LRUCache } from 'lru-cache'
import type { Database } from '../db/schema.ts'
import { LAYOUT, type StillCell, unpack } from './cell.ts'
import { type Cuboid, type Dimension, joined } from './dimensions.ts'
import { type Scope, scopeId } from './plant.ts'

export interface FoundCells {
  readonly cells: readonly { readonly key: readonly string[]; readonly cell: StillCell }[]
  /** Up to where rows are in the cells, and the entries of the ledger with them. */
  readonly place: number
  readonly ledgerSize: number
}

/** Of one database. A cell is named with the place of its last change, so that what is known of it can't be out of date. */
export type KnownCells = LRUCache<string, StillCell>

const KNOWN_BYTES_MAX = 96 * 1024 * 1024
/** Unpacked, a byte of a cell takes about so many. */
const UNPACKED = 8

const known = new WeakMap<object, KnownCells>()

export function cellsKnownTo(database: object): KnownCells {
  const own = known.get(database) ?? new LRUCache<string, StillCell>({ maxSize: KNOWN_BYTES_MAX })
  known.set(database, own)
  return own
}

interface CellRow {
  readonly place: number
  readonly ledger_size: number
  readonly layout: number
  readonly key: string[] | null
  readonly changed: number
  readonly body?: Buffer
}

const NONE: FoundCells = { cells: [], place: 0, ledgerSize: 0 }

/** The place that the cells reach is of one statement with them, and so of one moment. */
export async function readCells(
  tx: Transaction<Database>,
  cells: KnownCells,
  scope: Scope,
  cuboid: Cuboid,
  filters: ReadonlyMap<Dimension, ReadonlySet<string>>,
): Promise<FoundCells> {
  const values: unknown[] = [scopeId(scope)]
  const where = [...filters].map(([dimension, allowed]) => {
    values.push([...allowed])
    return `and cell.key[${cuboid.dimensions.indexOf(dimension) + 1}] = any ($${values.length}::text[])`
  })
  const ask = async (columns: string): Promise<readonly CellRow[]> => {
    const { rows } = await tx.executeQuery<CellRow>(
      CompiledQuery.raw(
        `select fold.place, fold.ledger_size, fold.layout, cell.key, cell.place as changed${columns}
         from ll.statistics_fold fold
         left join ll.statistics_cell cell on cell.scope = $1 and cell.cuboid = ${cuboid.id} ${where.join(' ')}`,
        values,
      ),
    )
    return rows
  }
  const nameOf = ({ key, changed }: CellRow): string => `${scopeId(scope)} ${cuboid.id} ${changed} ${joined(key ?? [])}`
  const cellOf = (row: CellRow): StillCell | undefined => {
    const name = nameOf(row)
    const held = cells.get(name)
    if (held !== undefined || row.body === undefined) return held
    const cell = unpack(row.body)
    cells.set(name, cell, { size: UNPACKED * row.body.length })
    return cell
  }
  let rows = await ask('')
  // Cells of another layout are being made again: until then everything has yet to be added.
  const isOther = (): boolean => rows[0]?.layout !== LAYOUT
  if (isOther()) return NONE
  let found = rows.map((row) => (row.key === null ? undefined : cellOf(row)))
  if (rows.some(({ key }, n) => key !== null && found[n] === undefined)) {
    rows = await ask(', cell.body')
    if (isOther()) return NONE
    found = rows.map((row) => (row.key === null ? undefined : cellOf(row)))
  }
  const first = rows[0]!
  return {
    cells: rows.flatMap(({ key }, n) => (key === null ? [] : { key, cell: found[n]! })),
    place: Number(first.place),
    ledgerSize: Number(first.ledger_size),
  }
}
