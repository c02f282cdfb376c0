/** The attack on every additive figure of every family, and what of the lattice is told. */
import { type Amount, attack, attackersOf, type Bound, type Cell, isIn, type Month, type Test, type Who } from './attack.ts'
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
  /** Single customers behind what is told are the target, instead of withheld cells. */
  readonly ofCustomers?: boolean
  readonly threePlants: boolean
  /** Cells withheld to protect others are told: the attack must find something then. */
  readonly undone?: boolean
}

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

const undone = (months: readonly Month[]): Month[] =>
  months.map((month) => ({
    ...month,
    cells: month.cells.map((cell) =>
      cell.withheld === 'protects another cell' ? { ...cell, withheld: undefined } : cell,
    ),
  }))

/** All months held against each other, which no attack on one of them by itself comes nearer than; the nearest bounds first. */
export function* attackAll({ tests, months }: World, wanted: Wanted): Generator<Found> {
  for (const family of FAMILIES) {
    const asked = wanted.undone === true ? undone(months[family]) : months[family]
    const own = tests.filter(({ id }) => asked.some((month) => month.tests.has(id)))
    const attackers = attackersOf(own, wanted)
    const bounds = AMOUNTS[family]
      .flatMap((amount) => attack({ ...wanted, tests, months: asked, amount, attackers }))
      .sort((a, b) => a.distance - b.distance)
    yield { family, bounds }
  }
}
