/** The attack on every additive figure of every family, and what of the lattice is told. */
import {
  type Amount,
  attack,
  attackersOf,
  type Bound,
  type Cell,
  isIn,
  type Month,
  type Targets,
  type Test,
  type Who,
} from './attack.ts'
import { FAMILIES, type Family, type World } from './world.ts'

const AMOUNTS: Readonly<Record<Family, readonly Amount[]>> = {
  'overall-plant-efficiency': [{ name: 'efficiency', most: 1 }],
  'energy-and-water': [{ name: 'energy' }, { name: 'water' }, { name: 'usefulEnergy' }],
  'standing-water-level': [{ name: 'standingLevel' }],
}

export interface Told {
  readonly family: Family
  readonly month: string
  readonly cells: number
  /** Cells by what withholds them; told ones under `told`. */
  readonly byMark: Readonly<Record<string, number>>
  /** Cells of at least five plants and three customers, and how many of these are told. */
  readonly enough: number
  readonly toldOfEnough: number
  /** Cells that would hold enough with the tests that wait for more of their kind. */
  readonly enoughOfAll: number
  /** Tests in its sums, and those that count. */
  readonly tests: number
  readonly counting: number
}

export interface Wanted extends Who {
  /** Withheld cells, or single customers behind what is told. */
  readonly of: 'cells' | 'customers'
  readonly threePlants: boolean
  readonly neighbours?: boolean
  /** A rule that is taken out: the attack must find something then. */
  readonly undone?: Undone
}
/** Cells withheld to protect others are told; or all tests come in at once and every cell that holds enough is told. */
export type Undone = 'protection' | 'waiting'

const heldBy = (family: Family, tests: readonly Test[], cell: Cell): Test[] => {
  const names = AMOUNTS[family].map(({ name }) => name)
  return tests.filter((test) => names.every((name) => test.amounts[name]! > 0) && isIn(test, cell))
}

const plantOf = ({ plant }: Test): string => plant
const customerOf = ({ customer }: Test): string => customer
const isEnough = (held: readonly Test[]): boolean =>
  new Set(held.map(plantOf)).size >= 5 && new Set(held.map(customerOf)).size >= 3

export function whatIsTold({ tests, months }: World): Told[] {
  return FAMILIES.flatMap((family) =>
    months[family].map(({ month, tests: ids, counting, cells }) => {
      const own = tests.filter(({ id }) => ids.has(id))
      const all = tests.filter(({ id }) => counting.has(id))
      const byMark: Record<string, number> = {}
      for (const { withheld = 'told' } of cells) byMark[withheld] = (byMark[withheld] ?? 0) + 1
      const enough = cells.filter((cell) => isEnough(heldBy(family, own, cell)))
      return {
        family,
        month,
        cells: cells.length,
        byMark,
        enough: enough.length,
        toldOfEnough: enough.filter(({ withheld }) => withheld === undefined).length,
        enoughOfAll: cells.filter((cell) => isEnough(heldBy(family, all, cell))).length,
        tests: own.length,
        counting: all.length,
      }
    }),
  )
}

export interface Found {
  readonly family: Family
  readonly bounds: readonly Bound[]
}

function without(rule: Undone, family: Family, tests: readonly Test[], months: readonly Month[]): Month[] {
  return months.map((month) => {
    if (rule === 'protection') {
      const told = ({ withheld }: Cell): boolean => withheld === undefined || withheld === 'protects another cell'
      return { ...month, cells: month.cells.map((cell) => (told(cell) ? { ...cell, withheld: undefined } : cell)) }
    }
    const all = tests.filter(({ id }) => month.counting.has(id))
    const cells = month.cells.map((cell) => {
      const held = heldBy(family, all, cell)
      return { ...cell, withheld: held.length === 0 || isEnough(held) ? undefined : 'too few' }
    })
    return { ...month, tests: month.counting, cells }
  })
}

/**
 * Withheld cells at each month's end, held against all months until then, and those of which tests are in sums against the later ones
 * too; or single customers against all months. The nearest bounds first.
 */
export function* attackAll({ tests, months }: World, wanted: Wanted): Generator<Found> {
  for (const family of FAMILIES) {
    const asked = wanted.undone === undefined ? months[family] : without(wanted.undone, family, tests, months[family])
    const own = tests.filter(({ id }) => asked.some((month) => month.tests.has(id)))
    const attackers = attackersOf(own, wanted)
    const views: { readonly months: readonly Month[]; readonly targets: Targets }[] =
      wanted.of === 'customers'
        ? [{ months: asked, targets: 'customers' }]
        : [
            ...asked.map((_, n) => ({ months: asked.slice(0, n + 1), targets: 'cells of the last month' as const })),
            { months: asked, targets: 'cells in sums' },
          ]
    const bounds = AMOUNTS[family]
      .flatMap((amount) => views.flatMap((view) => attack({ ...wanted, ...view, tests, amount, attackers })))
      .sort((a, b) => a.distance - b.distance)
    yield { family, bounds }
  }
}
