/** What can be had by subtracting cells, and which tables are open; each beside a case in which nothing is to be had or closed. */
import { describe, expect, test } from 'vitest'
import type { FactRow } from '../facts.ts'
import { admitted, type Change } from './admit.ts'
import { type CountedTest, countedTest, type Table } from './lattice.ts'
import { remaindersOf } from './remainders.ts'
import { openTables } from './tables.ts'

const TABLES: readonly Table[] = [[], ['region'], ['kind', 'region'], ['region', 'power-class']]
const ENDED = 2027
let count = 0

function counted(kind: string, region: string, powerClass: string, firm: string): CountedTest {
  const n = count++
  const row = {
    test_id: `test ${n}`,
    plant_id: `plant ${n}`,
    firm_id: firm,
    tested_on: '2026-05-12',
    groups: `electric-motor|${kind}|${region}|${powerClass}|pitot-traverse|airline|meter-display|bills|USD`,
    efficiency: 0.6,
    annual_energy_j: 3.6e11,
    annual_volume_m3: 4e5,
  }
  return countedTest(row as unknown as FactRow, `customer ${n}`)
}
const several = (n: number, kind: string, powerClass: string, region = 'North', firms = 4): CountedTest[] =>
  Array.from({ length: n }, (_, one) => counted(kind, region, powerClass, `firm ${one % firms}`))

/** All of a class are wells, as are two of the other. */
const wells = several(8, 'well', '75-to-124-hp')
const few = several(2, 'well', '50-to-74-hp')
const boosters = several(8, 'booster', '50-to-74-hp')

const left = (tests: readonly CountedTest[]) => [...remaindersOf(TABLES, tests)]

describe('what is left of a cell', () => {
  test('is what no cell of another table within it holds', () => {
    expect(left([...wells, ...few, ...boosters])).toContainEqual({ tests: few })
  })

  test('is nothing where no cell lies within it, nor where it is a cell itself', () => {
    const mixed = [...wells, ...few, ...boosters, counted('booster', 'North', '75-to-124-hp', 'firm 0')]
    expect(left([...mixed, counted('booster', 'North', '75-to-124-hp', 'firm 1')])).toEqual([])
    expect(left([...wells, ...boosters])).toEqual([])
  })

  test('is had by a firm that knows what else the inner cell holds', () => {
    const known = counted('booster', 'North', '75-to-124-hp', 'firm 3')
    const found = left([...wells, ...few, ...boosters, known])
    expect(found).toContainEqual({ tests: few, firm: 'firm 3' })
    expect(new Set(found.map(({ firm }) => firm))).toEqual(new Set(['firm 3']))
  })

  test('waits where it is few, and comes where it is enough', () => {
    const coming = (tests: readonly CountedTest[]): ReadonlySet<Change> =>
      admitted({ changes: tests.map((after) => ({ after })), stay: [], yearNow: ENDED, isOpen: () => true })
    // A second region, so that a table less the region is no remainder; enough of all kinds and classes there.
    const south = ['well', 'booster'].flatMap((kind) =>
      ['50-to-74-hp', '75-to-124-hp'].flatMap((one) => several(12, kind, one, 'South')),
    )
    const enough = several(12, 'well', '50-to-74-hp')
    expect(coming([...wells, ...enough, ...boosters, ...south]).size).toBe(8 + 12 + 8 + 48)
    const without = [...coming([...wells, ...few, ...boosters, ...south])].map(({ after }) => after)
    expect(without).toHaveLength(8 + 8 + 48)
    for (const one of few) expect(without).not.toContain(one)
  })
})

describe('a table', () => {
  const isOpenFor = (tests: readonly CountedTest[]) =>
    openTables({
      changes: tests.map((after) => ({ after })),
      stay: [],
      before: undefined,
      drivers: ['electric-motor'],
      yearNow: ENDED,
    })

  test('is closed while most tests would wait for it, and open where they don’t', () => {
    const regions = ['East', 'North', 'South', 'West']
    const basin = (n: number) => regions.flatMap((region) => several(n, 'well', '75-to-124-hp', region))
    const scattered = regions.flatMap((region) =>
      ['50-to-74-hp', '75-to-124-hp', '125-to-249-hp'].flatMap((one) => several(4, 'well', one, region)),
    )
    expect(isOpenFor(basin(8))('electric-motor', ['region', 'power-class'])).toBe(true)
    expect(isOpenFor(scattered)('electric-motor', ['region', 'power-class'])).toBe(false)
    expect(isOpenFor(scattered)('electric-motor', ['region'])).toBe(true)
  })
})
