/**
 * The cells of a publication, from the tests in it and those in the one before. Cells whose tests are the same are taken
 * over as they were, and what was withheld of tests in sums stays withheld. So whatever hid a cell in a publication hides it in all
 * that come after: a move of its tests that no told cell felt is felt by none of the told cells then, for these are fewer. A cell in
 * which all tests wait hides none, and may be told when they come.
 */
import { type IsOpen, nameOfCell, tablesOpen } from './admit.ts'
import { FAMILIES, type Family, type FamilyId } from './families.ts'
import { type Figures, figuresOfCell, roundedCount, withheldFigures } from './figures.ts'
import { type CountedTest, cellsOf, cellsOver, WHOLE } from './lattice.ts'
import { protect } from './protect.ts'
import { type Mark, ownMark } from './rules.ts'
import type { Quantity } from './solver.ts'

export interface PublishedCell {
  readonly family: FamilyId
  readonly driver: string
  readonly cell: string
  /** Why it is withheld. */
  readonly mark?: Mark
  readonly told: Figures
}

export interface Publication {
  readonly tests: readonly CountedTest[]
  readonly cells: readonly PublishedCell[]
}

/** Cells that change, and that what was told before leaves no way to protect: their changes have to wait. */
export class CellsExposed extends Error {
  readonly cells: ReadonlySet<string>
  constructor(cells: readonly string[]) {
    super(`${cells.length} cells can't be protected.`)
    this.cells = new Set(cells)
  }
}

interface ToMake {
  readonly driver: string
  readonly tests: readonly CountedTest[]
  /** Tests that count and are in no cell yet. */
  readonly waiting: readonly CountedTest[]
  readonly before: Publication | undefined
  readonly isOpen: IsOpen
}

/** The cells of a driver. Throws `CellsExposed`. */
export async function makeCells({ driver, tests, waiting, before, isOpen }: ToMake): Promise<PublishedCell[]> {
  const made: PublishedCell[] = []
  for (const whole of FAMILIES) {
    const family = { ...whole, tables: tablesOpen(whole, driver, isOpen) }
    const own = (all: readonly CountedTest[]): CountedTest[] =>
      all.filter((test) => test.driver === driver && family.has(test))
    const kept = (before?.cells ?? []).filter((cell) => cell.family === family.id && cell.driver === driver)
    const ofFamily = { family, driver, tests: own(tests), waiting: own(waiting) }
    made.push(...(await cellsOfFamily(ofFamily, { tests: own(before?.tests ?? []), cells: kept })))
  }
  return made
}

const namesOf = (tests: readonly CountedTest[]): Set<string> => new Set(tests.map(({ row }) => row.test_id))
const areSame = (a: readonly CountedTest[], b: readonly CountedTest[]): boolean => {
  const names = namesOf(b)
  return a.length === b.length && a.every(({ row }) => names.has(row.test_id))
}

interface OfFamily {
  readonly family: Family
  readonly driver: string
  readonly tests: readonly CountedTest[]
  readonly waiting: readonly CountedTest[]
}

async function cellsOfFamily(
  { family, driver, tests, waiting }: OfFamily,
  before: Publication,
): Promise<PublishedCell[]> {
  const names = cellsOver(family.tables, [...tests, ...before.tests, ...waiting])
  const held = byCell(family, names, tests)
  const heldBefore = byCell(family, names, before.tests)
  const awaited = byCell(family, names, waiting)
  const kept = new Map(before.cells.map((cell) => [cell.cell, cell]))
  const decided = names.map((name): PublishedCell | Mark | undefined => {
    const [own, known] = [held.get(name)!, kept.get(name)]
    // No sum holds any of the tests that wait; none is to be hidden.
    if (own.length === 0 && heldBefore.get(name)!.length === 0) {
      return awaited.get(name)!.length === 0 ? undefined : withheldCell('too few', name)
    }
    if (known !== undefined && areSame(own, heldBefore.get(name)!)) return known
    const isHidden = known?.mark !== undefined && heldBefore.get(name)!.length > 0
    // What was withheld stays so: told now, it would give away those that it protected then.
    return ownMark(own, family.weights) ?? (isHidden ? 'protects another cell' : undefined)
  })
  const { opened, exposed } = await protectAll({ family, names, tests, before: before.tests, decided, kept })
  if (exposed.length > 0 && before.cells.length > 0) {
    throw new CellsExposed(exposed.map((n) => nameOfCell(family.id, driver, names[n]!)))
  }
  const made = names.map((cell, n): PublishedCell => {
    const own = decided[n]
    if (typeof own === 'object') return own
    const mark = own ?? (exposed.length > 0 || opened.has(n) ? 'protects another cell' : undefined)
    return mark === undefined
      ? { family: family.id, driver, cell, told: figuresOfCell(family.id, held.get(cell)!) }
      : withheldCell(mark, cell)
  })
  return made.map((cell) =>
    cell.cell === WHOLE && cell.mark === undefined
      ? { ...cell, told: { ...cell.told, waiting: roundedCount(waiting.length) } }
      : cell,
  )

  function withheldCell(mark: Mark, cell: string): PublishedCell {
    return { family: family.id, driver, cell, mark, told: withheldFigures(family.id, mark) }
  }
}

function byCell(family: Family, names: readonly string[], tests: readonly CountedTest[]): Map<string, CountedTest[]> {
  const held = new Map<string, CountedTest[]>(names.map((name) => [name, []]))
  for (const test of tests) for (const cell of cellsOf(family.tables, test.values)) held.get(cell)!.push(test)
  return held
}

interface ToProtect {
  readonly family: Family
  readonly names: readonly string[]
  readonly tests: readonly CountedTest[]
  readonly before: readonly CountedTest[]
  readonly decided: readonly (PublishedCell | Mark | undefined)[]
  readonly kept: ReadonlyMap<string, PublishedCell>
}

interface Protected {
  /** Cells to withhold for others, by their place among the names. */
  readonly opened: ReadonlySet<number>
  /** Cells that change and can't be protected. */
  readonly exposed: readonly number[]
}

async function protectAll(work: ToProtect): Promise<Protected> {
  const { family, names, decided, kept } = work
  const unknowns = unknownsOf(work)
  const isIn = (n: 0 | 1) => (members: Unknown) => members.stage === 2 || members.stage === n
  const membersOf = (name: string, isMember: (unknown: Unknown) => boolean): number[] =>
    unknowns.flatMap((unknown, u) => (isMember(unknown) && unknown.cells.has(name) ? [u] : []))
  const now = names.map((name, n): Quantity => {
    const own = decided[n]
    const members = membersOf(name, isIn(1))
    const tests = members.reduce((sum, u) => sum + unknowns[u]!.tests.length, 0)
    if (typeof own === 'object') {
      return { members, cost: 0, state: own.mark === undefined ? 'fixed' : 'withheld', isKept: true }
    }
    // To withhold what was told before of nearly the same tests hides little.
    const cost = kept.get(name)?.mark === undefined && kept.has(name) ? tests * TOLD_BEFORE : tests
    return { members, cost, state: own === undefined ? 'told' : 'withheld' }
  })
  // What was told before stays known.
  const then = names.flatMap((name, n): Quantity[] => {
    const cell = kept.get(name)
    if (cell === undefined || cell.mark !== undefined || typeof decided[n] === 'object') return []
    return [{ members: membersOf(name, isIn(0)), cost: 0, state: 'fixed' }]
  })
  const { opened, exposed } = await protect({
    unknowns: unknowns.map(({ tests }) => tests),
    quantities: [...now, ...then],
    additives: family.additives,
  })
  // What was told of the same tests before is told: nothing withheld now could change that.
  const isNew = (n: number): boolean => n < names.length && typeof decided[n] !== 'object'
  return { opened: new Set(opened), exposed: exposed.filter(isNew) }
}

/** How many times dearer it is to withhold what was told before. */
const TOLD_BEFORE = 100

interface Unknown {
  /** 0: in the publication before only; 1: in this one only; 2: in both. */
  readonly stage: 0 | 1 | 2
  readonly cells: ReadonlySet<string>
  readonly tests: CountedTest[]
}

/** Tests that are in the same cells of the same publications: no sum that is told parts them. */
function unknownsOf({ family, tests, before }: ToProtect): Unknown[] {
  const [now, then] = [namesOf(tests), namesOf(before)]
  const unknowns = new Map<string, Unknown>()
  const all = new Map([...before, ...tests].map((test) => [test.row.test_id, test]))
  for (const [id, test] of all) {
    const stage = now.has(id) ? (then.has(id) ? 2 : 1) : 0
    const name = `${stage} ${test.values.join('|')}`
    const unknown = unknowns.get(name) ?? { stage, cells: new Set(cellsOf(family.tables, test.values)), tests: [] }
    unknowns.set(name, unknown)
    unknown.tests.push(test)
  }
  return [...unknowns.values()]
}
