/** The attack on every additive figure of every family, and what of the lattice is told. */
import { type Amount, attack, attackersOf, type Bound, type Cell, isIn, type Month, type Test } from './attack.ts'
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
}

export interface Wanted {
  readonly firmsWithCustomers: boolean
  readonly threePlants: boolean
  /** Cells withheld to protect others are told: the attack must find something then. */
  readonly undone?: boolean
}

const heldBy = (family: Family, tests: readonly Test[], cell: Cell): Test[] => {
  const names = AMOUNTS[family].map(({ name }) => name)
  return tests.filter((test) => names.every((name) => test.amounts[name]! > 0) && isIn(test, cell))
}

export function whatIsTold({ tests, months }: World): Told[] {
  return FAMILIES.flatMap((family) =>
    months[family].map(({ month, tests: ids, cells }) => {
      const own = tests.filter(({ id }) => ids.has(id))
      const byMark: Record<string, number> = {}
      for (const { withheld = 'told' } of cells) byMark[withheld] = (byMark[withheld] ?? 0) + 1
      const enough = cells.filter((cell) => {
        const held = heldBy(family, own, cell)
        return (
          new Set(held.map(({ plant }) => plant)).size >= 5 && new Set(held.map(({ customer }) => customer)).size >= 3
        )
      })
      const toldOfEnough = enough.filter(({ withheld }) => withheld === undefined).length
      return { family, month, cells: cells.length, byMark, enough: enough.length, toldOfEnough }
    }),
  )
}

export interface Found {
  readonly family: Family
  readonly months: string
  readonly bounds: readonly Bound[]
}

const undone = (months: readonly Month[]): Month[] =>
  months.map((month) => ({
    ...month,
    cells: month.cells.map((cell) =>
      cell.withheld === 'protects another cell' ? { ...cell, withheld: undefined } : cell,
    ),
  }))

/** Each month by itself, and both held against each other; the nearest bounds first. */
export function* attackAll({ tests, months }: World, wanted: Wanted): Generator<Found> {
  for (const family of FAMILIES) {
    const asked = wanted.undone === true ? undone(months[family]) : months[family]
    for (const those of [...asked.map((month) => [month]), asked]) {
      const own = tests.filter(({ id }) => those.some((month) => month.tests.has(id)))
      const attackers = attackersOf(own, wanted.firmsWithCustomers)
      const bounds = AMOUNTS[family]
        .flatMap((amount) => attack({ tests: own, months: those, amount, attackers, threePlants: wanted.threePlants }))
        .sort((a, b) => a.distance - b.distance)
      yield { family, months: those.map(({ month }) => month).join(' and '), bounds }
    }
  }
}
