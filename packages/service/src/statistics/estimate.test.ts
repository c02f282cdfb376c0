/** Estimates against values from outside, and against the plain arithmetic over the plants. */
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { binOf, EDGES, highestOf, lowestOf, middleOf, PERCENTILE_BOUND } from './bins.ts'
import { emptyCell, pack, plus, still, unpack } from './cell.ts'
import { contribute } from './contribute.ts'
import { meanOf, orderStatistics, ratioOf } from './estimate.ts'
import type { FactRow } from './facts.ts'
import { SPAN } from './measures.ts'
import { Part } from './part.ts'
import { SLOTS } from './sums.ts'

describe('ranks around the median', () => {
  // Limits by the sign test, as tables of nonparametric statistics print them (Conover, Practical Nonparametric
  // Statistics, 3rd ed. 1999, section 3.2; from memory); n = 10: P(B ≤ 1) = 11/1024, P(B ≤ 2) = 56/1024 by hand.
  test.each([
    [6, 1, 6],
    [10, 2, 9],
    [15, 4, 12],
    [20, 6, 15],
    [25, 8, 18],
    [30, 10, 21],
  ])('of %i values are %i and %i', (n, from, to) => {
    expect(orderStatistics(n, 0.5)).toEqual([from, to])
  })

  test('are not there where five values can’t bound it', () => {
    expect(orderStatistics(5, 0.5)).toEqual([undefined, undefined])
    // 0.9¹⁰ = 0.35: the highest of ten is no upper limit for the 90th percentile.
    expect(orderStatistics(10, 0.9)[1]).toBeUndefined()
  })

  test('of many are no narrower than those counted out', () => {
    const exact = orderStatistics(2_000, 0.25)
    const near = orderStatistics(2_001, 0.25)
    expect(near[0]! - exact[0]!).toBeLessThanOrEqual(0)
    expect(near[1]! - exact[1]!).toBeGreaterThanOrEqual(0)
    expect(Math.abs(near[0]! - exact[0]!)).toBeLessThan(4)
  })
})

test('the middle of a bin is within the bound of all that falls in it', () => {
  for (let bin = 1; bin < EDGES.length - 1; bin++) {
    const [low, middle, high] = [lowestOf(bin), middleOf(bin), highestOf(bin)]
    expect(middle / low - 1).toBeLessThanOrEqual(PERCENTILE_BOUND)
    expect(1 - middle / high).toBeLessThanOrEqual(PERCENTILE_BOUND)
    expect([binOf(low), binOf(high)]).toEqual([bin, bin])
  }
  expect(binOf(SPAN - 1)).toBeLessThan(EDGES.length - 1)
})

const row = (plant: number, year: number, efficiency: number, kWh: number): FactRow => ({
  ...{ place: plant * 100 + year, happened: 'test', ledger_size: 1, program_id: null, soundness: 'sound' },
  ...{ test_id: `t${plant}-${year}`, firm_id: 'f', plant_id: `p${plant}`, tester_id: 't' },
  tested_on: `${2000 + year}-05-12`,
  edition: '2026-1',
  groups: 'electric-motor|well|R|75-to-124-hp|pitot-traverse|electric-sounder|meter-display|bills|USD',
  ...{ flow_m3_s: null, head_m: null, lift_m: null, input_power_w: null, efficiency, efficiency_u: efficiency * 0.04 },
  ...{ specific_capacity_m2_s: null, energy_per_volume_j_m3: null, standing_level_m: null },
  ...{ annual_energy_j: kWh * 3.6e6, annual_volume_m3: null, cost_per_volume: null },
})

/** Plants with the efficiencies, in ten-thousandths, of some years. */
const plants = fc.array(
  fc.array(fc.tuple(fc.integer({ min: 1, max: 9_000 }), fc.integer({ min: 1, max: 900_000 })), {
    minLength: 1,
    maxLength: 5,
  }),
  {
    minLength: 2,
    maxLength: 12,
  },
)
type Plants = readonly (readonly (readonly [number, number])[])[]

const cellOf = (all: Plants) => {
  const cell = emptyCell()
  all.forEach((years, plant) => {
    const tests = years.map(([efficiency, kWh], year) => ({ test: row(plant, year, efficiency / 1e4, kWh) }))
    contribute(tests, ['driver'], () => cell)
  })
  return still(cell)
}
const partOf = (...cells: ReturnType<typeof cellOf>[]): Part => {
  const part = new Part()
  for (const cell of cells) part.add(cell)
  return part
}

test('the mean and its interval are those of the plain sums over plants', () => {
  fc.assert(
    fc.property(plants, (all) => {
      const { value, halfWidth } = meanOf([partOf(cellOf(all))], SLOTS.measures[0]!)!
      const flat = all.flat().map(([efficiency]) => efficiency / 1e4)
      const mean = flat.reduce((sum, one) => sum + one, 0) / flat.length
      const squares = all.reduce((sum, years) => sum + years.reduce((own, [one]) => own + one / 1e4 - mean, 0) ** 2, 0)
      const variance = ((all.length / (all.length - 1)) * squares) / flat.length ** 2
      expect(value * 1e-6).toBeCloseTo(mean, 9)
      // Student's t for 1 to 11 degrees of freedom (JCGM 100:2008, table G.2).
      const t = [12.71, 4.3, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23, 2.2][all.length - 2]!
      expect(Math.abs(halfWidth! * 1e-6 - t * Math.sqrt(variance))).toBeLessThan(0.003 * t * Math.sqrt(variance) + 1e-9)
    }),
  )
})

test('a ratio of sums is the energy-weighted mean, with its linearised interval over plants', () => {
  fc.assert(
    fc.property(plants, (all) => {
      const { value, halfWidth } = ratioOf([partOf(cellOf(all))], SLOTS.ratios.efficiencyByEnergy)!
      const sums = all.map((years) => [
        years.reduce((sum, [efficiency, kWh]) => sum + Math.round((efficiency / 100) * kWh), 0),
        years.reduce((sum, [, kWh]) => sum + kWh, 0),
      ]) as [number, number][]
      const y = sums.reduce((sum, [one]) => sum + one, 0)
      const w = sums.reduce((sum, [, one]) => sum + one, 0)
      // Half a hundredth of a kWh may fall either way in each test.
      expect(Math.abs(value * w - y)).toBeLessThanOrEqual(all.flat().length)
      const squares = sums.reduce((sum, [own, weight]) => sum + (own - (y / w) * weight) ** 2, 0)
      const t = [12.71, 4.3, 3.18, 2.78, 2.57, 2.45, 2.36, 2.31, 2.26, 2.23, 2.2][all.length - 2]!
      const half = (t * Math.sqrt((all.length / (all.length - 1)) * squares)) / w
      expect(Math.abs(halfWidth! - half)).toBeLessThan(0.003 * half + (10 * all.flat().length) / w)
    }),
  )
})

test('in parts that share plants the interval is no narrower than over the plants themselves', () => {
  fc.assert(
    fc.property(plants, (all) => {
      const years = [0, 1, 2, 3, 4].map((year) => cellOf(all.map((plant) => plant.slice(year, year + 1))))
      const whole = meanOf([partOf(cellOf(all))], SLOTS.measures[0]!)!
      const parts = meanOf(
        years.filter(({ keys }) => keys.length > 0).map((cell) => partOf(cell)),
        SLOTS.measures[0]!,
      )!
      expect(parts.value).toBe(whole.value)
      if (parts.halfWidth !== undefined) expect(parts.halfWidth).toBeGreaterThanOrEqual(whole.halfWidth! * (1 - 1e-9))
    }),
  )
})

test('cells are packed and unpacked without loss, and added in any order', () => {
  fc.assert(
    fc.property(plants, plants, plants, (a, b, c) => {
      const [x, y, z] = [cellOf(a), cellOf(b), cellOf(c)]
      const packed = pack(plus(plus(x, y), z))
      expect(packed.equals(pack(plus(z, plus(y, x))))).toBe(true)
      expect(pack(unpack(packed)).equals(packed)).toBe(true)
    }),
  )
})
