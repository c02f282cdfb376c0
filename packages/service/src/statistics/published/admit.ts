/**
 * Which changes come into a publication: in no cell do the tests of fewer than three customers enter or leave, nor of
 * fewer beside those of any one firm, which knows its own. What would is held back until more come.
 */
import { FAMILIES, type FamilyId } from './families.ts'
import { type CountedTest, cellsOf } from './lattice.ts'
import { distinct, RULES } from './rules.ts'

/** Of one plant and year: the test that was counted, and the one that counts now. */
export interface Change {
  readonly before?: CountedTest
  readonly after?: CountedTest
}

export const nameOfCell = (family: FamilyId, driver: string, cell: string): string => `${family}|${driver}|${cell}`

const testsOf = ({ before, after }: Change): CountedTest[] => [before, after].filter((test) => test !== undefined)

/** Names of the cells of all families that a change touches. */
export function cellsTouched(change: Change): Set<string> {
  const cells = testsOf(change).flatMap((test) =>
    FAMILIES.filter((family) => family.has(test)).flatMap(({ id, tables }) =>
      cellsOf(tables, test.values).map((cell) => nameOfCell(id, test.driver, cell)),
    ),
  )
  return new Set(cells)
}

function areEnough(changes: readonly Change[]): boolean {
  const firms = new Set(changes.flatMap((change) => testsOf(change).map(({ firm }) => firm)))
  return [undefined, ...firms].every((firm) => {
    const others = changes.flatMap(testsOf).filter((test) => test.firm !== firm)
    return others.length === 0 || distinct(others, ({ customer }) => customer) >= RULES.changeCustomersMin
  })
}

/**
 * The most changes that keep the rule in every cell. Leaving changes out only makes those of other cells fewer, and two sets
 * that keep the rule keep it together: so there is one largest, and taking out what breaks it ends there.
 */
export function admitted(changes: readonly Change[]): Change[] {
  const touched = new Map(changes.map((change) => [change, cellsTouched(change)]))
  const left = new Set(changes)
  for (;;) {
    const byCell = new Map<string, Change[]>()
    for (const change of left) {
      for (const cell of touched.get(change)!) byCell.set(cell, [...(byCell.get(cell) ?? []), change])
    }
    const broken = [...byCell.values()].filter((own) => !areEnough(own))
    if (broken.length === 0) return [...left]
    for (const change of broken.flat()) left.delete(change)
  }
}
