/**
 * What is left of a cell when the cells of another table that lie wholly within it are subtracted: the wells of a region less those
 * of its classes in which all are wells. It is a sum that can be had without being told, and may be of very few.
 */
import { type CountedTest, cellsOf, type Table } from './lattice.ts'

export interface Remainder {
  readonly tests: readonly CountedTest[]
  /** The firm that has it by subtracting its own tests too; everybody has it where absent. */
  readonly firm?: string
}

/** Tests of a cell by the cell of another table they are in. */
type Within = ReadonlyMap<string, readonly CountedTest[]>

/** Remainders of all cells of the tables over some tests; those that are cells themselves, or what a firm leaves of one, are none. */
export function* remaindersOf(tables: readonly Table[], tests: readonly CountedTest[]): Generator<Remainder> {
  const names = new Map(tests.map((test) => [test, cellsOf(tables, test.values)]))
  const held = tables.map((_, table) => Map.groupBy(tests, (test) => names.get(test)![table]!))
  const isCell = ({ tests: left, firm }: Remainder): boolean => {
    const parts = new Set(left)
    return names.get(left[0]!)!.some((name, table) => {
      const own = held[table]!.get(name)!.filter((test) => test.firm !== firm)
      return own.length === left.length && own.every((test) => parts.has(test))
    })
  }
  for (const cells of held) {
    for (const own of cells.values()) {
      const isOwn = new Set(own)
      for (const [table, others] of held.entries()) {
        const within = Map.groupBy(own, (test) => names.get(test)![table]!)
        for (const one of left(within, (name) => others.get(name)!.filter((test) => !isOwn.has(test)))) {
          if (!isCell(one)) yield one
        }
      }
    }
  }
}

/** `outside`: tests of a cell of the other table that are not in this one. */
function* left(within: Within, outside: (name: string) => readonly CountedTest[]): Generator<Remainder> {
  // Of whom the tests outside are: of nobody, of one firm, which knows them, or of several.
  const firmsOutside = new Map([...within.keys()].map((name) => [name, new Set(outside(name).map(({ firm }) => firm))]))
  const besideThose = (isWithin: (firms: ReadonlySet<string>) => boolean): CountedTest[] =>
    [...within].flatMap(([name, tests]) => (isWithin(firmsOutside.get(name)!) ? [] : tests))
  const all = besideThose((firms) => firms.size === 0)
  if ([...firmsOutside.values()].some(({ size }) => size === 0) && all.length > 0) yield { tests: all }
  const alone = new Set([...firmsOutside.values()].flatMap((firms) => (firms.size === 1 ? [...firms] : [])))
  for (const firm of alone) {
    const tests = besideThose((firms) => firms.size === 0 || (firms.size === 1 && firms.has(firm)))
    const ofOthers = tests.filter((test) => test.firm !== firm)
    if (ofOthers.length > 0) yield { tests: ofOthers, firm }
  }
}
