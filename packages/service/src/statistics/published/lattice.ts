/**
 * The fixed lattice of published statistics: dimensions whose cells are told for each driver, in tables with their totals.
 * Nothing else is ever answered to outsiders, so that no filter of theirs makes a group of its own.
 */
import { joined, type Place } from '../dimensions.ts'
import type { FactRow } from '../facts.ts'
import { groupsOf } from '../facts.ts'

export const LATTICE = ['kind', 'region', 'power-class', 'year'] as const
export type LatticeDimension = (typeof LATTICE)[number]

/** Of the lattice itself; a publication names the one it was made on. */
export const LATTICE_VERSION = 1

/** Stands for all values of a dimension. */
export const ALL_VALUES = 'all'

/** A test that counts, as the rules of disclosure look at it. */
export interface CountedTest {
  readonly row: FactRow
  readonly plant: string
  readonly customer: string
  readonly firm: string
  readonly driver: string
  /** Values of the lattice's dimensions. */
  readonly values: readonly string[]
}

export function countedTest(row: FactRow, customer: string): CountedTest {
  const { at } = groupsOf(row)
  return { row, plant: row.plant_id, customer, firm: row.firm_id, driver: at.driver, values: valuesAt(at) }
}

/** Classes at both ends are joined: they hold too few plants to be told alone. */
const CLASSES: Readonly<Record<string, string>> = {
  'below-25-hp': 'below-75-hp',
  '25-to-49-hp': 'below-75-hp',
  '50-to-74-hp': 'below-75-hp',
  '125-to-249-hp': '125-hp-and-more',
  '250-hp-and-more': '125-hp-and-more',
}

const valuesAt = (at: Place): string[] =>
  LATTICE.map((dimension) => (dimension === 'power-class' ? (CLASSES[at[dimension]] ?? at[dimension]) : at[dimension]))

/** What the cells of a table name: dimensions, or none for the whole. */
export type Table = readonly LatticeDimension[]

/** Name of the cell of a table that a test with these values is in. */
const cellIn = (table: Table, values: readonly string[]): string =>
  joined(values.map((value, n) => (table.includes(LATTICE[n]!) ? value : ALL_VALUES)))

/** Names of all cells that a test with these values is in. */
export const cellsOf = (tables: readonly Table[], values: readonly string[]): string[] =>
  tables.map((table) => cellIn(table, values))

/** The table that a cell is of. */
export const tableOfCell = (name: string): Table => {
  const values = name.split('|')
  return LATTICE.filter((_, n) => values[n] !== ALL_VALUES)
}

/** The year that a cell names, or `all`. */
export const yearOfCell = (name: string): string => name.split('|')[LATTICE.indexOf('year')]!

/** The cell of all tests of a driver. */
export const WHOLE = joined(LATTICE.map(() => ALL_VALUES))

/** Every cell over the values that occur, those without a test too; in order. */
export function cellsOver(tables: readonly Table[], tests: readonly CountedTest[]): string[] {
  const occurring = LATTICE.map((_, n) => [...new Set(tests.map(({ values }) => values[n]!))].sort())
  const names = new Set<string>()
  for (const table of tables) {
    let keys: string[][] = [[]]
    LATTICE.forEach((dimension, n) => {
      const choices = table.includes(dimension) ? occurring[n]! : [ALL_VALUES]
      keys = keys.flatMap((key) => choices.map((value) => [...key, value]))
    })
    for (const key of keys) names.add(joined(key))
  }
  return [...names].sort()
}
