import { existsSync, readdirSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { flowMethods } from '../flow/flow-of-run.ts'
import { levelMethods } from '../level/list.ts'
import { powerMethods } from '../power/list.ts'
import { type FormulaInputs, partialsBesideDifferences } from '../testing.ts'
import { type Points, pointsOfDrivers, pointsOfLevels } from '../testing-points.ts'
import { unitTable } from '../units.ts'
import { formulas } from './list.ts'

const threeTimings = { powers: [59951, 59546, 59748] }
const velocities = { velocities: [1.02, 1.18, 1.25, 1.31, -0.04, 1.28] }

/** Three points inside the range of each formula, in SI: usual, small and large. */
const points: Points = {
  'area-beside-probe': [
    { area: 0.0509, width: 0.0064, immersion: 0.127 },
    { area: 0.0082, width: 0.004, immersion: 0.05 },
    { area: 0.29, width: 0.025, immersion: 0.3 },
  ],
  'cipolletti-weir-flow': [
    { crestLength: 1, head: 0.25 },
    { crestLength: 0.4, head: 0.07 },
    { crestLength: 2.5, head: 0.8 },
  ],
  'francis-weir-flow': [
    { crestLength: 1, contractions: 2, head: 0.25 },
    { crestLength: 0.6, contractions: 2, head: 0.08 },
    { crestLength: 2.5, contractions: 1, head: 0.7 },
  ],
  'jet-velocity': [
    { distance: 0.9, fall: 0.3048, slope: 0.05 },
    { distance: 0.4, fall: 0.2, slope: -0.1 },
    { distance: 2, fall: 0.5, slope: 0.35 },
  ],
  'orifice-flow': [
    { coefficient: 0.662, area: 0.0127, head: 0.72 },
    { coefficient: 0.6, area: 0.002, head: 0.2 },
    { coefficient: 0.79, area: 0.05, head: 1.5 },
  ],
  'parshall-flow': [
    { throat: 0.3048, head: 0.262 },
    { throat: 0.0762, head: 0.05 },
    { throat: 3.048, head: 0.8 },
  ],
  'rectangular-weir-flow': [
    { crestLength: 0.9, channelWidth: 2, crestHeight: 0.6, head: 0.25 },
    { crestLength: 0.3, channelWidth: 0.41, crestHeight: 0.3, head: 0.08 },
    { crestLength: 1.9, channelWidth: 2, crestHeight: 0.9, head: 0.6 },
  ],
  'segment-area': [
    { depth: 0.12, diameter: 0.25 },
    { depth: 0.03, diameter: 0.3 },
    { depth: 0.19, diameter: 0.2 },
  ],
  'tank-flow': [
    { volume: 2, elapsed: 60 },
    { volume: 0.2, elapsed: 31 },
    { volume: 40, elapsed: 400 },
  ],
  'tank-volume': [
    { length: 2, width: 1.2, rise: 0.8 },
    { length: 0.6, width: 0.4, rise: 0.3 },
    { length: 8, width: 5, rise: 1 },
  ],
  'v-notch-flow': [
    { angle: 1.0472, head: 0.22 },
    { angle: 0.6, head: 0.07 },
    { angle: 1.5707963, head: 0.35 },
  ],
  'vertical-jet-flow': [
    { diameter: 0.2, height: 0.4 },
    { diameter: 0.05, height: 0.1 },
    { diameter: 0.4, height: 1.5 },
  ],
  'vertical-overflow-flow': [
    { diameter: 0.2, height: 0.05 },
    { diameter: 0.1, height: 0.01 },
    { diameter: 0.5, height: 0.18 },
  ],
  ...pointsOfDrivers,
  ...pointsOfLevels,
  'blink-power': [
    { constant: 1000 / 3.6e6, pulses: 15, multiplier: 40, elapsed: 40.6 },
    { constant: 10_000 / 3.6e6, pulses: 200, multiplier: 1, elapsed: 33.2 },
    { constant: 40 / 3.6e6, pulses: 2, multiplier: 120, elapsed: 90 },
  ],
  'booster-field-head': [
    { gaugeHead: 50.2, suctionHead: 13.1 },
    { gaugeHead: 4.1, suctionHead: -3.3 },
    { gaugeHead: 120, suctionHead: 31 },
  ],
  'booster-total-head': [
    { fieldHead: 37.1, velocityHead: 0.21, suctionVelocityHead: 0.1 },
    { fieldHead: 7.4, velocityHead: 0.02, suctionVelocityHead: 0.005 },
    { fieldHead: 90, velocityHead: 1.1, suctionVelocityHead: 1.3 },
  ],
  'corrected-rate': [
    { rate: 0.0492, factor: 0.987 },
    { rate: 0.004, factor: 1.03 },
    { rate: 0.3, factor: 1 },
  ],
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
  'drive-input-power': [
    { outputPower: 62e3, driveEfficiency: 0.97 },
    { outputPower: 4000, driveEfficiency: 0.92 },
    { outputPower: 3e5, driveEfficiency: 0.985 },
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
  'flow-at-tap': [
    { metered: 0.049, leaving: 0.003 },
    { metered: 0.004, leaving: 0.0001 },
    { metered: 0.2, leaving: 0.09 },
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
  'lift-from-surface': [{ suctionHead: -2.9 }, { suctionHead: 1.4 }, { suctionHead: -6.2 }],
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
  'mean-current': [{ currents: [44.3, 45.4, 45.2] }, { currents: [101, 99] }, { currents: [12.5] }],
  'mean-diameter': [
    { first: 0.2545, second: 0.255 },
    { first: 0.1, second: 0.104 },
    { first: 0.61, second: 0.58 },
  ],
  'mean-rate': [{ rates: [0.0491, 0.0494, 0.0493] }, { rates: [0.004, 0.0041] }, { rates: [0.3] }],
  'mean-voltage': [{ voltages: [478, 480, 481] }, { voltages: [231, 229] }, { voltages: [240] }],
  'metered-power': [
    { shown: 29_100, multiplier: 1 },
    { shown: 480, multiplier: 160 },
    { shown: 3e5, multiplier: 2.4 },
  ],
  'motor-input-power': [
    { inputPower: 64_106, driveEfficiency: 0.97 },
    { inputPower: 4000, driveEfficiency: 0.92 },
    { inputPower: 3e5, driveEfficiency: 0.985 },
  ],
  'motor-load': [
    { motorPower: 62e3, motorEfficiency: 0.95, ratedPower: 74_570 },
    { motorPower: 4000, motorEfficiency: 0.85, ratedPower: 7457 },
    { motorPower: 3e5, motorEfficiency: 0.962, ratedPower: 223_710 },
  ],
  'mean-power': [threeTimings, { powers: [4000, 4100] }, { powers: [3e5, 3.1e5, 2.9e5, 3.05e5] }],
  'outside-from-circumference': [{ circumference: 0.858 }, { circumference: 0.36 }, { circumference: 1.92 }],
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
  'profile-velocity': [
    { velocity: 1.9, factor: 0.82 },
    { velocity: 0.4, factor: 0.79 },
    { velocity: 4.1, factor: 0.86 },
  ],
  'pulse-power': [
    { energy: 6480, pulses: 20, multiplier: 20, elapsed: 42.1 },
    { energy: 4320, pulses: 5, multiplier: 60, elapsed: 39.8 },
    { energy: 36_000, pulses: 3, multiplier: 1, elapsed: 95 },
  ],
  'relative-flow-difference': [
    { other: 0.0513, tested: 0.0496 },
    { other: -0.002, tested: 0.004 },
    { other: 0.21, tested: 0.3 },
  ],
  'single-phase-power': [
    { voltage: 240, current: 22.4, powerFactor: 0.88 },
    { voltage: 118, current: 4.1, powerFactor: 0.61 },
    { voltage: 480, current: 60, powerFactor: 1 },
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
  'sum-of-flows': [{ flows: [0.031, 0.018] }, { flows: [0.002, -0.0004, 0.003] }, { flows: [0.3] }],
  'three-phase-power': [
    { voltage: 479.7, current: 44.97, powerFactor: 0.85 },
    { voltage: 208, current: 9, powerFactor: 0.55 },
    { voltage: 4160, current: 70, powerFactor: 0.93 },
  ],
  'timing-spread': [threeTimings, { powers: [4000, 4100] }, { powers: [3e5, 3.1e5, 2.9e5, 3.05e5] }],
  'total-dynamic-head': [
    { fieldHead: 73.5, velocityHead: 0.1 },
    { fieldHead: 2.4, velocityHead: 0.004 },
    { fieldHead: 240, velocityHead: 1.1 },
  ],
  'totaliser-flow': [
    { volume: 47.7, elapsed: 1799 },
    { volume: 0.9, elapsed: 240 },
    { volume: 205, elapsed: 3604 },
  ],
  'totaliser-volume': [
    { start: 1822.0, end: 1822.5, rollover: 1e-9, multiplier: 100 },
    { start: 999.2, end: 3.1, rollover: 1000, multiplier: 1 },
    { start: 0.4, end: 91, rollover: 1e-9, multiplier: 10 },
  ],
  'traverse-mean-velocity': [velocities, { velocities: [0.4, 0.5] }, { velocities: [4.1, 4.2, 3.9] }],
  'velocity-head': [{ velocity: 1.42 }, { velocity: 0.3 }, { velocity: -4.5 }],
  'vented-pressure': [
    { shown: 286e3, zero: 3400 },
    { shown: 7000, zero: -700 },
    { shown: 1.2e6, zero: 5000 },
  ],
  'voltage-unbalance': [{ voltages: [478, 480, 481] }, { voltages: [231, 222, 229] }, { voltages: [4100, 4160, 4290] }],
  'current-unbalance': [{ currents: [44.3, 45.4, 45.2] }, { currents: [101, 99, 88] }, { currents: [12.5, 12.1, 14] }],
  // Between the freezing point and 40 °C; near 4 °C the slope itself is close to zero.
  'water-density': [{ temperature: 17.8 }, { temperature: 4.2 }, { temperature: 38 }],
  'water-power': [
    { density: 998.6, flow: 0.0725, head: 73.6 },
    { density: 999.9, flow: 0.004, head: 3 },
    { density: 992, flow: 0.3, head: 250 },
  ],
  'zeroed-rate': [
    { shown: 0.0492, zero: 0.0006 },
    { shown: 0.004, zero: -0.0001 },
    { shown: 0.3, zero: 0.004 },
  ],
  'zeroed-velocity': [
    { shown: 1.42, zero: 0.012 },
    { shown: 0.3, zero: -0.004 },
    { shown: 4.1, zero: 0.03 },
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
