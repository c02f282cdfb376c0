/** What is in a publication: which changes come in, and what the cells are. */
import { admitted, type Change, cellsTouched } from './admit.ts'
import { CellsExposed, cellsOfYear, isTellable, makeCells, type Publication, type PublishedCell } from './make.ts'
import type { Slot } from './slots.ts'

export interface Decided extends Publication {
  readonly changes: number
  readonly heldBack: number
}

const isChange = ({ before, after }: Slot): boolean => before?.row.test_id !== after?.row.test_id
const driversOf = ({ before, after }: Change): string[] => [before, after].flatMap((test) => test?.driver ?? [])

/** Pure: which changes come in, and what the cells are. Changes of cells that could not be protected wait. */
export async function decide(
  slots: readonly Slot[],
  before: Publication | undefined,
  yearNow: number,
): Promise<Decided> {
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
