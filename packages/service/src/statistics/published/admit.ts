/**
 * Which changes come into a publication. One that would leave a cell with too few, or change it by too few, waits until more come:
 * so nothing is withheld that other cells would have to hide. The rules hold also beside the tests of any one firm, which knows its
 * own, and for what is left of a cell when others are subtracted from it.
 */
import { FAMILIES, type Family, type FamilyId } from './families.ts'
import { type CountedTest, cellsOf, type Table, yearOfCell } from './lattice.ts'
import { remaindersOf } from './remainders.ts'
import { distinct, isAnyDominated, isDominated, isEnough, RULES } from './rules.ts'

/** Of one plant and year: the test that was counted, and the one that counts now. */
export interface Change {
  readonly before?: CountedTest
  readonly after?: CountedTest
}

export const nameOfCell = (family: FamilyId, driver: string, cell: string): string => `${family}|${driver}|${cell}`

const testsOf = ({ before, after }: Change): CountedTest[] => [before, after].filter((test) => test !== undefined)

/** Whether a table is open for a driver. */
export type IsOpen = (driver: string, table: Table) => boolean

export const tablesOpen = ({ tables }: Family, driver: string, isOpen: IsOpen): Table[] =>
  tables.filter((table) => isOpen(driver, table))

interface CellName {
  readonly family: Family
  readonly name: string
  readonly year: string
}

const cellsWith = (test: CountedTest, isOpen: IsOpen): CellName[] =>
  FAMILIES.filter((family) => family.has(test)).flatMap((family) =>
    cellsOf(tablesOpen(family, test.driver, isOpen), test.values).map((cell) => ({
      family,
      name: nameOfCell(family.id, test.driver, cell),
      year: yearOfCell(cell),
    })),
  )

/** Names of the cells of all families that a change touches. */
export const cellsTouched = (change: Change, isOpen: IsOpen): Set<string> =>
  new Set(testsOf(change).flatMap((test) => cellsWith(test, isOpen).map(({ name }) => name)))

const movesFew = (moved: readonly CountedTest[]): boolean =>
  distinct(moved, ({ customer }) => customer) < RULES.changeCustomersMin

/** A cell that some change touches. */
class Touched {
  readonly #family: Family
  readonly #year: string
  /** Tests that no change touches. */
  readonly stays: CountedTest[] = []
  /** What a change takes out of the cell, and brings in. */
  readonly parts = new Map<Change, Change>()

  constructor({ family, year }: CellName) {
    this.#family = family
    this.#year = year
  }

  /** Of the changes that would come in, those that can't because of this cell. */
  thatWait(coming: ReadonlySet<Change>, yearNow: string): Change[] {
    const moving = [...this.parts].filter(([change]) => coming.has(change))
    if (moving.length === 0) return []
    const parts = [...this.parts]
    const { weights } = this.#family
    const before = [...this.stays, ...parts.flatMap(([, part]) => part.before ?? [])]
    const after = [
      ...this.stays,
      ...parts.flatMap(([change, part]) => (coming.has(change) ? part.after : part.before) ?? []),
    ]
    const isTold = before.length > 0 && !isAnyDominated(before, weights)
    // What is told stays told; and a year that goes on may still bring those beside whom nobody dominates.
    const mayWait = isTold || (before.length === 0 && this.#year === yearNow)
    if (mayWait && isAnyDominated(after, weights)) return moving.map(([change]) => change)
    const firms = new Set([...before, ...after].map(({ firm }) => firm))
    const waiting = [undefined, ...firms].flatMap((firm) => {
      const ofOthers = moving.filter(([, part]) => testsOf(part).some((test) => test.firm !== firm))
      const moved = ofOthers.flatMap(([, part]) => testsOf(part)).filter((test) => test.firm !== firm)
      const left = after.filter((test) => test.firm !== firm)
      // What a cell changes by is a sum that can be had: it is held to what a cell is.
      const givesAway = movesFew(moved) || (isTold && weights.some((weight) => isDominated(moved, weight)))
      // Those of the firm alone may come: beside them nobody's change.
      return givesAway || (left.length > 0 && !isEnough(left)) ? ofOthers.map(([change]) => change) : []
    })
    return [...new Set(waiting)]
  }
}

export interface ToAdmit {
  readonly changes: readonly Change[]
  /** Tests that no change touches. */
  readonly stay: readonly CountedTest[]
  readonly yearNow: number
  readonly isOpen: IsOpen
}

/** Of the changes that would come in, those because of which few could be had by subtracting cells. */
function thatLeaveFew({ changes, stay, isOpen }: ToAdmit, coming: ReadonlySet<Change>): Set<Change> {
  const after = [...stay, ...changes.flatMap((change) => (coming.has(change) ? change.after : change.before) ?? [])]
  const changeOf = new Map([...coming].flatMap((change) => testsOf(change).map((test) => [test, change] as const)))
  const moved = [...changeOf.keys()]
  const drivers = [...new Set(after.map(({ driver }) => driver))]
  const waiting = new Set<Change>()
  for (const family of FAMILIES) {
    for (const driver of drivers) {
      const isIn = (test: CountedTest): boolean => test.driver === driver && family.has(test)
      const tables = tablesOpen(family, driver, isOpen)
      for (const [tests, isFew] of [
        [after, (left: readonly CountedTest[]) => !isEnough(left)],
        [moved, movesFew],
      ] as const) {
        for (const left of leftOf(family, tables, tests.filter(isIn), isFew)) {
          for (const test of left) if (changeOf.has(test)) waiting.add(changeOf.get(test)!)
        }
      }
    }
  }
  return waiting
}

/** What is left of cells less others and gives somebody away. */
function* leftOf(
  { weights }: Family,
  tables: readonly Table[],
  tests: readonly CountedTest[],
  isFew: (left: readonly CountedTest[]) => boolean,
) {
  for (const remainder of remaindersOf(tables, tests)) {
    for (const left of besideEachFirm(remainder)) {
      if (isFew(left) || weights.some((weight) => isDominated(left, weight))) yield left
    }
  }
}

export const isWhatIsLeftEnough = (family: Family, tables: readonly Table[], tests: readonly CountedTest[]): boolean =>
  leftOf(family, tables, tests, (left) => !isEnough(left)).next().done === true

function besideEachFirm({ tests, firm }: { readonly tests: readonly CountedTest[]; readonly firm?: string }) {
  // A firm that needs its own tests for it has already taken them out.
  const firms = firm === undefined ? [undefined, ...new Set(tests.map((test) => test.firm))] : [firm]
  return firms.map((one) => tests.filter((test) => test.firm !== one)).filter(({ length }) => length > 0)
}

/**
 * The most changes that keep the rules in every cell, beside the tests that stay. Of tests that come, leaving some out only makes
 * those of other cells fewer, and two sets that keep the rules of numbers keep them together: so there is one largest, and taking out
 * what breaks a rule ends there. Where tests leave, one customer dominates or cells are subtracted, it ends in a set that keeps them.
 */
export function admitted(asked: ToAdmit): ReadonlySet<Change> {
  const { changes, stay, yearNow, isOpen } = asked
  const cells = new Map<string, Touched>()
  const touched = new Map(changes.map((change) => [change, cellsTouched(change, isOpen)]))
  for (const change of changes) {
    for (const side of ['before', 'after'] as const) {
      const test = change[side]
      for (const cell of test === undefined ? [] : cellsWith(test, isOpen)) {
        const own = cells.get(cell.name) ?? new Touched(cell)
        cells.set(cell.name, own)
        own.parts.set(change, { ...own.parts.get(change), [side]: test })
      }
    }
  }
  for (const test of stay) for (const { name } of cellsWith(test, isOpen)) cells.get(name)?.stays.push(test)
  const coming = new Set(changes)
  for (let toLookAt = new Set(cells.keys()); toLookAt.size > 0; ) {
    const fromCells = [...toLookAt].flatMap((name) => cells.get(name)!.thatWait(coming, String(yearNow)))
    const out = fromCells.length > 0 ? new Set(fromCells) : thatLeaveFew(asked, coming)
    for (const change of out) coming.delete(change)
    toLookAt = new Set([...out].flatMap((change) => [...touched.get(change)!]))
  }
  return coming
}
