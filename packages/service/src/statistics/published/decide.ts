/** What is in a publication: which changes come in, and what the cells are. */
import { admitted, type Change, cellsTouched } from './admit.ts'
import type { CountedTest } from './lattice.ts'
import { CellsExposed, makeCells, type Publication, type PublishedCell } from './make.ts'
import type { Slot } from './slots.ts'
import { openTables } from './tables.ts'

export interface Decided extends Publication {
  /** Tests that count and are in no cell yet. */
  readonly waiting: readonly CountedTest[]
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
  const same = slots.flatMap((slot) => (isChange(slot) ? [] : (slot.after ?? [])))
  const drivers = [...new Set(slots.flatMap(driversOf))].sort()
  const isOpen = openTables({ changes, stay: same, before, drivers, yearNow })
  let free: readonly Slot[] = changes
  for (;;) {
    const stay = [...same, ...changes.flatMap((slot) => (free.includes(slot) ? [] : (slot.before ?? [])))]
    const come = admitted({ changes: free, stay, yearNow, isOpen })
    const tests = [...same, ...changes.flatMap((slot) => (come.has(slot) ? slot.after : slot.before) ?? [])]
    const waiting = changes.flatMap((slot) => (come.has(slot) ? [] : (slot.after ?? [])))
    try {
      const cells: PublishedCell[] = []
      for (const driver of drivers) cells.push(...(await makeCells({ tests, waiting, before, driver, isOpen })))
      return { tests, waiting, cells, changes: changes.length, heldBack: changes.length - come.size }
    } catch (error) {
      if (!(error instanceof CellsExposed)) throw error
      free = free.filter(
        (change) => come.has(change) && ![...cellsTouched(change, isOpen)].some((cell) => error.cells.has(cell)),
      )
    }
  }
}
