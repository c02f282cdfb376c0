import { existsSync, readdirSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { flowMethods } from '../flow/list.ts'
import { levelMethods } from '../level/list.ts'
import { powerMethods } from '../power/list.ts'
import { type FormulaInputs, partialsBesideDifferences } from '../testing.ts'
import { unitTable } from '../units.ts'
import { formulas } from './list.ts'

const threeTimings = { powers: [59951, 59546, 59748] }
const velocities = { velocities: [1.02, 1.18, 1.25, 1.31, -0.04, 1.28] }

/** Three points inside the range of each formula, in SI: usual, small and large. */
const points: Readonly<Record<string, readonly [FormulaInputs, FormulaInputs, FormulaInputs]>> = {
  'cost-per-volume': [
    { energyPerVolume: 1.07e6, rate: 4.5e-8 },
    { energyPerVolume: 2e5, rate: 1e-8 },
    { energyPerVolume: 6e6, rate: 2e-7 },
  ],
  'diameter-from-outside': [
    { outside: 0.273, wall: 0.0064, lining: 0.001 },
    { outside: 0.1143, wall: 0.004, lining: 0.0005 },
    { outside: 0.61, wall: 0.0095, lining: 0.012 },
  ],
  'disk-power': [
    { constant: 6480, revolutions: 10, multiplier: 40, elapsed: 33.4 },
    { constant: 25920, revolutions: 5, multiplier: 1, elapsed: 62.5 },
    { constant: 103680, revolutions: 30, multiplier: 1, elapsed: 21.2 },
  ],
  drawdown: [
    { pumpingLevel: 43.2, standingLevel: 36.1 },
    { pumpingLevel: 5.1, standingLevel: -0.4 },
    { pumpingLevel: 180, standingLevel: 179.9 },
  ],
  'energy-per-volume': [
    { inputPower: 77605, flow: 0.0725 },
    { inputPower: 3000, flow: 0.004 },
    { inputPower: 4e5, flow: 0.3 },
  ],
  'energy-per-volume-and-head': [
    { energyPerVolume: 1.07e6, head: 73.6 },
    { energyPerVolume: 1e5, head: 4 },
    { energyPerVolume: 4e6, head: 250 },
  ],
  'field-head': [
    { lift: 43.9, gaugeHead: 29.6 },
    { lift: 2.1, gaugeHead: 0.3 },
    { lift: -1.2, gaugeHead: 60 },
  ],
  'flow-in-pipe': [
    { velocity: 1.42, area: 0.0509 },
    { velocity: 0.3, area: 0.008 },
    { velocity: 4.5, area: 0.29 },
  ],
  'gauge-head': [
    { pressureHead: 29.2, gaugeHeight: 0.4 },
    { pressureHead: 0.7, gaugeHeight: -0.3 },
    { pressureHead: 90, gaugeHeight: 1.8 },
  ],
  'input-power': [
    { metered: 77605, otherLoad: 1500 },
    { metered: 4000, otherLoad: 12 },
    { metered: 3e5, otherLoad: 9e4 },
  ],
  'least-energy-per-volume-and-head': [{ density: 998.6 }, { density: 999.97 }, { density: 992.2 }],
  lift: [
    { pumpingLevel: 43.2, dischargeCentre: 0.67 },
    { pumpingLevel: -0.5, dischargeCentre: 1.2 },
    { pumpingLevel: 210, dischargeCentre: -0.3 },
  ],
  'manometer-air-density': [{ pressure: 286e3 }, { pressure: 900 }, { pressure: 1.4e6 }],
  'manometer-factor-air': [
    { airDensity: 4.68, density: 998.6 },
    { airDensity: 1.22, density: 999.9 },
    { airDensity: 18, density: 992 },
  ],
  'manometer-factor-fluid': [{ relativeDensity: 2.95 }, { relativeDensity: 0.827 }, { relativeDensity: 13.55 }],
  'mean-diameter': [
    { first: 0.2545, second: 0.255 },
    { first: 0.1, second: 0.104 },
    { first: 0.61, second: 0.58 },
  ],
  'mean-power': [threeTimings, { powers: [4000, 4100] }, { powers: [3e5, 3.1e5, 2.9e5, 3.05e5] }],
  'overall-plant-efficiency': [
    { waterPower: 52261, inputPower: 77605 },
    { waterPower: 300, inputPower: 3000 },
    { waterPower: 3e5, inputPower: 4e5 },
  ],
  'pipe-area': [{ diameter: 0.2548 }, { diameter: 0.05 }, { diameter: 0.9 }],
  'pipe-velocity': [
    { flow: 0.0725, area: 0.0509 },
    { flow: 0.004, area: 0.008 },
    { flow: 0.3, area: 0.07 },
  ],
  'pitot-velocity': [
    { coefficient: 1, column: 0.104, factor: 0.9953 },
    { coefficient: 0.84, column: -0.002, factor: 1.95 },
    { coefficient: 1.02, column: 0.9, factor: 0.173 },
  ],
  'point-mean-velocity': [velocities, { velocities: [0.4, 0.5] }, { velocities: [4.1, 4.2, 3.9] }],
  'pressure-head': [
    { pressure: 286e3, density: 998.6 },
    { pressure: -3000, density: 999.9 },
    { pressure: 1.2e6, density: 992 },
  ],
  'sounded-level': [
    { tape: 43.3, measuringPoint: 0.15 },
    { tape: 1.2, measuringPoint: -0.2 },
    { tape: 220, measuringPoint: 0.9 },
  ],
  'specific-capacity': [
    { flow: 0.0725, drawdown: 7.1 },
    { flow: 0.004, drawdown: 25 },
    { flow: 0.2, drawdown: 0.8 },
  ],
  'timing-spread': [threeTimings, { powers: [4000, 4100] }, { powers: [3e5, 3.1e5, 2.9e5, 3.05e5] }],
  'total-dynamic-head': [
    { fieldHead: 73.5, velocityHead: 0.1 },
    { fieldHead: 2.4, velocityHead: 0.004 },
    { fieldHead: 240, velocityHead: 1.1 },
  ],
  'traverse-mean-velocity': [velocities, { velocities: [0.4, 0.5] }, { velocities: [4.1, 4.2, 3.9] }],
  'velocity-head': [{ velocity: 1.42 }, { velocity: 0.3 }, { velocity: -4.5 }],
  'vented-pressure': [
    { shown: 286e3, zero: 3400 },
    { shown: 7000, zero: -700 },
    { shown: 1.2e6, zero: 5000 },
  ],
  // Between the freezing point and 40 °C; near 4 °C the slope itself is close to zero.
  'water-density': [{ temperature: 17.8 }, { temperature: 4.2 }, { temperature: 38 }],
  'water-power': [
    { density: 998.6, flow: 0.0725, head: 73.6 },
    { density: 999.9, flow: 0.004, head: 3 },
    { density: 992, flow: 0.3, head: 250 },
  ],
}

/** Units that no dimension of the unit table has: areas, and money in any currency. */
const UNITS_BESIDE_THE_TABLE = ['m2', 'currency/J', 'currency/m3']
const knownUnits = new Set([...unitTable().map(({ si }) => si), ...UNITS_BESIDE_THE_TABLE])

describe('the registry of formulas', () => {
  test('lists every file of the folder, in order of the alphabet', () => {
    const files = readdirSync(import.meta.dirname)
      .filter((name) => name.endsWith('.ts') && !name.endsWith('.test.ts') && name !== 'list.ts')
      .map((name) => name.slice(0, -'.ts'.length))
      .sort()
    expect(formulas.map(({ id }) => id)).toEqual(files)
    expect(Object.keys(points).sort()).toEqual(files)
  })

  test('holds every formula that a method names', () => {
    const listed = new Set(formulas)
    for (const method of [...flowMethods, ...levelMethods, ...powerMethods])
      for (const formula of method.formulas) expect(listed, `${method.id}: ${formula.id}`).toContain(formula)
  })

  test.each(formulas)('$id is declared in full, and its partial derivatives match differences', (formula) => {
    expect(existsSync(new URL(`${formula.id}.ts`, import.meta.url))).toBe(true)
    expect(formula.title).not.toBe('')
    expect(formula.expression).toMatch(/^\S+ = .+/)
    expect(formula.source.document).not.toBe('')
    expect(formula.source.place).not.toBe('')
    expect(['looked up', 'from memory', 'derived', 'common practice', 'our judgement']).toContain(formula.source.basis)
    for (const unit of [formula.unit, ...Object.values(formula.inputs).flat()]) expect(knownUnits).toContain(unit)

    for (const at of points[formula.id]!) {
      expect(Object.keys(at)).toEqual(Object.keys(formula.inputs))
      const checks = partialsBesideDifferences(formula, at)
      expect(checks.length).toBeGreaterThan(0)
      expect(checks.filter(({ matches }) => !matches)).toEqual([])
    }
  })

  test('would notice a partial derivative that is off by a hundred-thousandth', () => {
    const formula = formulas.find(({ id }) => id === 'water-power')!
    const off = {
      ...formula,
      partials: (at: FormulaInputs) => ({
        ...formula.partials(at),
        head: (formula.partials(at).head as number) * 1.00001,
      }),
    }
    const checks = partialsBesideDifferences(off, points['water-power']![0])
    expect(checks.filter(({ matches }) => !matches).map(({ input }) => input)).toEqual(['head'])
  })
})
