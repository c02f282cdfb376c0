/** Single changes that a superuser may make in SQL, drawn from what is declared to be covered. */
import type pg from 'pg'
import { coverage, isCovered } from '../../packages/service/src/audit/coverage.ts'
import type { Place } from '../../packages/service/src/audit/findings.ts'
import type { Chance } from './chance.ts'
import type { Columns } from './columns.ts'
import { forgeries } from './forgeries.ts'
import { newValue } from './values.ts'

export const KINDS = ['update', 'flip-bit', 'swap', 'reorder', 'delete', 'insert'] as const
export type Kind = (typeof KINDS)[number]

/** What is changed and how. */
export interface Target {
  readonly kind: Kind | 'on-disk' | 'in-bundle'
  readonly table: string
  readonly column?: string
}

/** A change, ready to be made in any copy of the same database. */
export interface Change extends Target {
  readonly sql: string
  readonly values: readonly unknown[]
  /** Where it may rightly be found: the row as it was, and as it is then. */
  readonly places: readonly Place[]
}

/** Everything that is covered, once for each kind of change that makes sense there. */
export function targetsIn(columns: Columns): Target[] {
  return Object.entries(coverage).flatMap(([table, { row, added, removed, columns: own }]): Target[] => {
    if (row === undefined) return []
    const of = (kind: Kind, column?: string): Target => ({ kind, table, ...(column !== undefined && { column }) })
    const single = table === 'ledger_head' || table === 'ledger_tree'
    return [
      ...Object.entries(own).flatMap(([name, cover]): Target[] => {
        if (!isCovered(cover)) return []
        const column = columns.get(table)?.get(name)
        if (column === undefined) throw new Error(`There is no column ${table}.${name}.`)
        return [
          of('update', name),
          ...(column.base === 'bytea' ? [of('flip-bit', name)] : []),
          ...(column.key || single ? [] : [of('swap', name)]),
        ]
      }),
      ...(table === 'ledger_entry' ? [of('reorder')] : []),
      ...(isCovered(removed) ? [of('delete')] : []),
      ...(isCovered(added) ? [of('insert')] : []),
    ]
  })
}

interface Drawn {
  readonly ctid: string
  readonly place: string
  readonly now: string | null
}

/** Draws a change for a target from the rows that are there; undefined where there is none to make. */
export async function drawChange(
  client: pg.ClientBase,
  target: Target,
  columns: Columns,
  chance: Chance,
): Promise<Change | undefined> {
  const { kind, table, column } = target
  const { row, only } = coverage[table]!
  const where = column === undefined ? 'true' : (only?.[column]?.where ?? 'true')
  const { rows } = await client.query<Drawn>(
    `select ctid::text, ${row} as place, ${column === undefined ? 'null' : `"${column}"::text`} as now
     from ll.${table} ${table === 'plant' || table === 'tester' ? `as ${table}` : ''} where ${where} order by 2`,
  )
  if (rows.length === 0) return undefined
  const one = chance.of(rows)
  const at = (...some: readonly Drawn[]): Place[] =>
    some.map(({ place }) => ({ table, row: place, ...(column !== undefined && { column }) }))
  const change = (sql: string, values: readonly unknown[], places: readonly Place[]): Change => ({
    ...target,
    sql,
    values,
    places,
  })
  const rowsBy = (sql: string): string => `${sql} returning ${row} as place`
  switch (kind) {
    case 'update': {
      const others = rows.flatMap(({ now }) => now ?? [])
      const { sql, parameter } = newValue(columns.get(table)!.get(column!)!, { now: one.now, others, chance })
      const set = rowsBy(`update ll.${table} set "${column}" = ${sql} where ctid = '${one.ctid}'`)
      return change(set, parameter === undefined ? [] : [parameter], at(one))
    }
    case 'flip-bit': {
      if (one.now === null) return undefined
      const bit = chance.below((one.now.length - 2) * 4)
      const flipped = `set_bit("${column}", ${bit}, 1 - get_bit("${column}", ${bit}))`
      return change(rowsBy(`update ll.${table} set "${column}" = ${flipped} where ctid = '${one.ctid}'`), [], at(one))
    }
    case 'swap': {
      const others = rows.filter(({ now }) => now !== one.now)
      if (others.length === 0) return undefined
      const other = chance.of(others)
      const [a, b] = [one.ctid, other.ctid]
      const sql = `update ll.${table} x set "${column}" = y."${column}" from ll.${table} y
        where x.ctid = '${a}' and y.ctid = '${b}' or x.ctid = '${b}' and y.ctid = '${a}'`
      return change(sql, [], at(one, other))
    }
    case 'reorder': {
      const other = chance.of(rows.filter(({ place }) => place !== one.place))
      const [i, j] = [one.place, other.place]
      const sql = `do $$ begin
        update ll.ledger_entry set index = -1 where index = ${i};
        update ll.ledger_entry set index = ${i} where index = ${j};
        update ll.ledger_entry set index = ${j} where index = -1;
      end $$`
      return change(sql, [], at(one, other))
    }
    case 'delete':
      return change(rowsBy(`delete from ll.${table} where ctid = '${one.ctid}'`), [], at(one))
    case 'insert': {
      const forge = forgeries[table]
      if (forge === undefined) throw new Error(`Nobody forges rows of ${table}.`)
      return change(rowsBy(forge(one.ctid, chance)), [], [])
    }
    default:
      return undefined
  }
}
