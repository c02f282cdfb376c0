/**
 * Which tables of the lattice are open for a driver. One in which so many tests would have to wait that little could be told stays
 * closed until more plants are tested; one that is open stays so, for the same tables must answer month after month.
 */
import { admitted, type Change, type IsOpen, isWhatIsLeftEnough } from './admit.ts'
import { FAMILIES, type Family } from './families.ts'
import { type CountedTest, cellsOf, type Table, tableOfCell } from './lattice.ts'
import type { Publication } from './make.ts'
import { ownMark } from './rules.ts'

/** Of the tests of a driver; above it, tables are closed where that lets more of them come in. */
const WAITING_PERCENT_MAX = 20

const nameOf = (table: Table): string => table.join(' ')
const ALL_TABLES: readonly Table[] = [
  ...new Map(FAMILIES.flatMap(({ tables }) => tables.map((table) => [nameOf(table), table] as const))).values(),
]

interface ToChoose {
  readonly changes: readonly Change[]
  readonly stay: readonly CountedTest[]
  readonly before: Publication | undefined
  readonly drivers: readonly string[]
  readonly yearNow: number
}

export function openTables({ changes, stay, before, drivers, yearNow }: ToChoose): IsOpen {
  const open = new Map<string, ReadonlySet<string>>()
  for (const driver of drivers) {
    const isOf = (test: CountedTest | undefined): boolean => test?.driver === driver
    const own = changes.filter((change) => isOf(change.before) || isOf(change.after))
    const stayOwn = stay.filter(isOf)
    const told = (before?.tests ?? []).filter(isOf)
    const must = told.length === 0 ? new Set(['']) : tablesTold(before!, driver)
    open.set(driver, leastWaiting({ own, stay: stayOwn, must, could: openable(told, must), yearNow }))
  }
  return (driver, table) => open.get(driver)!.has(nameOf(table))
}

const tablesTold = ({ cells }: Publication, driver: string): Set<string> =>
  new Set(cells.flatMap((one) => (one.driver === driver ? nameOf(tableOfCell(one.cell)) : [])))

/** The tables that could have been open with the tests told so far: then opening them tells nothing of these alone. */
function openable(told: readonly CountedTest[], must: ReadonlySet<string>): string[] {
  const could = new Set(must)
  for (const table of ALL_TABLES) {
    const name = nameOf(table)
    if (could.has(name)) continue
    could.add(name)
    if (!FAMILIES.every((family) => mayBeTold(family, told, could))) could.delete(name)
  }
  return [...could].filter((name) => !must.has(name))
}

function mayBeTold(family: Family, told: readonly CountedTest[], open: ReadonlySet<string>): boolean {
  const tests = told.filter((test) => family.has(test))
  const tables = family.tables.filter((table) => open.has(nameOf(table)))
  const cells = tables.flatMap((table) => [
    ...Map.groupBy(tests, ({ values }) => cellsOf([table], values)[0]!).values(),
  ])
  return cells.every((held) => ownMark(held, family.weights) === undefined) && isWhatIsLeftEnough(family, tables, tests)
}

interface OfDriver {
  readonly own: readonly Change[]
  readonly stay: readonly CountedTest[]
  readonly must: ReadonlySet<string>
  readonly could: readonly string[]
  readonly yearNow: number
}

/** All that could be open; while too many wait, less one after the other, and again with those that cost nothing. */
function leastWaiting({ own, stay, must, could, yearNow }: OfDriver): ReadonlySet<string> {
  const comeIn = (open: ReadonlySet<string>): number =>
    admitted({ changes: own, stay, yearNow, isOpen: (_, table) => open.has(nameOf(table)) }).size
  const doWait = (come: number): boolean => (own.length - come) * 100 > (own.length + stay.length) * WAITING_PERCENT_MAX
  // Of equals the table of the smallest cells goes first.
  const closable = could.toSorted((a, b) => cellsIn(b, own) - cellsIn(a, own))
  const open = new Set([...must, ...could])
  let come = comeIn(open)
  while (doWait(come) && closable.some((name) => open.has(name))) {
    const tries = closable.flatMap((name) => {
      if (!open.has(name)) return []
      return [{ name, come: comeIn(new Set([...open].filter((one) => one !== name))) }]
    })
    const best = tries.reduce((a, b) => (b.come > a.come ? b : a))
    open.delete(best.name)
    come = best.come
  }
  for (const name of closable.filter((one) => !open.has(one)).toReversed()) {
    if (comeIn(new Set([...open, name])) >= come) open.add(name)
  }
  return open
}

function cellsIn(name: string, changes: readonly Change[]): number {
  const table = ALL_TABLES.find((one) => nameOf(one) === name)!
  return new Set(changes.flatMap(({ after }) => (after === undefined ? [] : cellsOf([table], after.values)))).size
}
