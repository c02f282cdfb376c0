/** Cells by what they hold, at each limit and just beyond; customers; which changes come in; bars. */
import { describe, expect, test } from 'vitest'
import type { FactRow } from '../facts.ts'
import { admitted } from './admit.ts'
import { customersOf } from './customers.ts'
import { figuresOfCell } from './figures.ts'
import { type CountedTest, countedTest } from './lattice.ts'
import { isDominated, ownMark } from './rules.ts'

let count = 0
/** Of a plant, customer and firm; energy in kWh, the efficiency a ratio. */
function counted(plant: string, customer: string, firm: string, energy = 100, efficiency = 0.6): CountedTest {
  const row = {
    test_id: `test ${count++}`,
    plant_id: plant,
    firm_id: firm,
    tester_id: 'tester',
    tested_on: '2026-05-12',
    edition: '2026-1',
    groups: 'electric-motor|well|North|75-to-124-hp|pitot-traverse|airline|meter-display|bills|USD',
    efficiency,
    efficiency_u: 0.03,
    annual_energy_j: energy * 3.6e6,
    annual_volume_m3: energy * 4,
  }
  return countedTest(row as unknown as FactRow, customer)
}
const energy = ({ row }: CountedTest): number => row.annual_energy_j! / 3.6e6
/** A test of each plant, by customer: [2, 2, 1] are five plants of three customers. */
const cell = (plants: readonly number[], firm = (_plant: number) => 'F'): CountedTest[] => {
  let plant = 0
  return plants.flatMap((n, customer) =>
    Array.from({ length: n }, () => counted(`plant ${plant}`, `customer ${customer}`, firm(plant++))),
  )
}

describe('a cell', () => {
  test.each([
    ['five plants of three customers', [2, 2, 1], undefined],
    ['four plants of three customers', [2, 1, 1], 'too few'],
    ['five plants of two customers', [3, 2], 'too few'],
    ['no plant', [], undefined],
  ])('of %s', (_, plants, mark) => {
    expect(ownMark(cell(plants), [])).toBe(mark)
  })

  test('of enough plants is withheld where a firm could take its own out and be left with few', () => {
    expect(
      ownMark(
        cell([2, 2, 2, 2, 2], (plant) => (plant < 5 ? 'F' : 'G')),
        [],
      ),
    ).toBeUndefined()
    expect(
      ownMark(
        cell([2, 2, 2, 2, 2], (plant) => (plant < 6 ? 'F' : 'G')),
        [],
      ),
    ).toBe('too few')
  })

  const shares = (...held: readonly number[]): CountedTest[] =>
    held.map((amount, n) => counted(`plant ${n}`, `customer ${n}`, 'F', amount))
  test.each([
    ['two customers of 85 percent', [45, 40, 5, 5, 5], false],
    ['two customers of more', [46, 40, 5, 5, 4], true],
  ])('with %s', (_, held, dominated) => {
    expect(isDominated(shares(...held), energy)).toBe(dominated)
  })
})

test('plants of one name in a firm’s books are one customer’s, and a plant of two firms joins theirs', () => {
  const of = customersOf([
    { firm_id: 'F', plant_id: '1', reference: 'C-1' },
    { firm_id: 'F', plant_id: '2', reference: 'C-1' },
    { firm_id: 'F', plant_id: '3', reference: 'C-2' },
    { firm_id: 'G', plant_id: '3', reference: '77' },
    { firm_id: 'G', plant_id: '4', reference: '77' },
    { firm_id: 'G', plant_id: '1', reference: null },
    { firm_id: 'G', plant_id: '5', reference: null },
    { firm_id: 'G', plant_id: '6', reference: null },
  ])
  expect(of('1')).toBe(of('2'))
  expect(of('3')).toBe(of('4'))
  expect(of('5')).toBe(of('6'))
  expect(new Set(['1', '3', '5'].map(of)).size).toBe(3)
})

describe('changes', () => {
  const YEAR = 2026
  const LATER = 2027
  const change = (customer: string, firm = `firm of ${customer}`, energyKwh = 100) => ({
    after: counted(`plant of ${customer}`, customer, firm, energyKwh),
  })
  const of = (customers: string, firm?: string) => [...customers].map((one) => change(one, firm))
  /** Of five firms, so that beside each there are enough. */
  const told = Array.from({ length: 25 }, (_, n) => counted(`told ${n}`, `told ${n}`, `firm ${n % 5}`))
  const coming = (
    changes: Parameters<typeof admitted>[0]['changes'],
    stay: readonly CountedTest[] = told,
    year = LATER,
  ) => [...admitted({ changes, stay, yearNow: year, isOpen: () => true })]

  test('of three customers come in, of two they wait', () => {
    expect(coming(of('abcd'))).toHaveLength(4)
    expect(coming(of('ab'))).toEqual([])
  })

  test('of three customers wait where a firm tested one of them', () => {
    // Beside its own there are two.
    expect(coming(of('abc'))).toEqual([])
    expect(coming(of('abc', 'F'))).toHaveLength(3)
  })

  test('of one firm come in where those of others beside it are too few and wait', () => {
    const own = of('abc', 'F')
    expect(coming([...own, change('d', 'G'), change('e', 'H')])).toEqual(own)
  })

  test('wait until a cell may be told, and those for whom it may are not kept waiting', () => {
    expect(coming(of('abcd', 'F'), [])).toEqual([])
    const own = of('abcde', 'F')
    expect(coming(own, [])).toEqual(own)
    expect(coming([...own, ...of('wxyz', 'G')], [])).toEqual(own)
  })

  test('that would leave a cell with too few wait, and what was told stays', () => {
    const leaves = (n: number) => ({ before: counted(`told ${n}`, `told ${n}`, 'F') })
    const stay = [0, 1, 2, 3, 4, 5].map((n) => counted(`stays ${n}`, `stays ${n}`, 'F'))
    expect(coming([leaves(0), leaves(1), leaves(2)], stay)).toHaveLength(3)
    expect(coming([leaves(0), leaves(1)], stay)).toEqual([])
    expect(coming([leaves(0), leaves(1), leaves(2)], stay.slice(2))).toEqual([])
  })

  test('by which a customer would dominate a cell wait while the year goes on, and where it was told', () => {
    const large = [...of('abcd', 'F'), change('e', 'F', 10_000)]
    expect(coming(large, [], YEAR)).toEqual([])
    expect(coming(large, [], LATER)).toEqual(large)
    expect(coming(large, told.slice(0, 6), LATER)).toEqual([])
  })
})

describe('figures', () => {
  test('of ten plants have percentiles and bars of three plants and more, open at both ends', () => {
    const efficiencies = [0.31, 0.52, 0.53, 0.56, 0.57, 0.58, 0.62, 0.63, 0.64, 0.78]
    const tests = efficiencies.map((value, n) => counted(`plant ${n}`, `customer ${n % 4}`, 'F', 100, value))
    const { figures, histogram } = figuresOfCell('overall-plant-efficiency', tests)
    expect(figures).toMatchObject({ tests: { value: 10 }, plants: { value: 10 }, percentile10: { value: 0.5 } })
    expect(histogram).toEqual([
      { to: 0.55, tests: 5, mark: 'merged' },
      { from: 0.55, to: 0.6, tests: 5 },
      { from: 0.6, tests: 5, mark: 'merged' },
    ])
    const few = figuresOfCell('overall-plant-efficiency', tests.slice(1))
    expect(few.figures.percentile10).toEqual({ value: null, withheld: 'too few' })
    expect(few.histogram).toBeUndefined()
  })

  test('of no test are zeros, and the rest was not measured', () => {
    expect(figuresOfCell('standing-water-level', []).figures).toEqual({
      tests: { value: 0 },
      plants: { value: 0 },
      mean: { value: null, withheld: 'not measured' },
      median: { value: null, withheld: 'not measured' },
    })
  })
})
