import { describe, expect, test } from 'vitest'
import { unitInWords } from '../render/units.ts'
import { between, ends, withHalfWidth } from './amounts.ts'

const shown = { value: 67.3430261, unit: '%', expandedUncertainty: 3.4621, decimals: 1 }

describe('a result', () => {
  test('is written with its interval and unit, all to the same place', () => {
    expect(withHalfWidth({ shown })).toBe('67.3 ± 3.5 %')
    expect(between({ shown })).toBe('67.3 % (63.9 to 70.8 %)')
    expect(withHalfWidth({ shown: { ...shown, value: -0.02, unit: '1' } })).toBe('0.0 ± 3.5')
  })

  test('in thousands of a unit is multiplied, and not read as another number', () => {
    const gas = { shown: { ...shown, value: 5.97, unit: '1000 ft3/acre-ft' } }
    expect(withHalfWidth(gas)).toBe('(6.0 ± 3.5) × 1000 ft³/acre-ft')
    expect(between(gas)).toBe('6.0 × 1000 ft³/acre-ft (2.5 to 9.4 × 1000 ft³/acre-ft)')
  })

  test('without an uncertainty claims none', () => {
    const spread = { shown: { ...shown, value: 0.711465, expandedUncertainty: 0, decimals: 6 } }
    expect(withHalfWidth(spread)).toBe('0.711 %')
    expect(ends(spread)).toBe('not stated')
    expect(withHalfWidth({ shown: { ...spread.shown, value: 1.001676 } })).toBe('1.00 %')
    expect(withHalfWidth({ shown: { ...spread.shown, value: 0 } })).toBe('0.00 %')
  })
})

test.each([
  ['degF', '°F'],
  ['kg/m3', 'kg/m³'],
  ['m2/s', 'm²/s'],
  ['kWh/1000 m3/m', 'kWh/(1000 m³·m)'],
  ['kWh/acre-ft/ft', 'kWh/(acre-ft·ft)'],
  ['USD/1000 ft3', 'USD/1000 ft³'],
  ['kgf/cm2', 'kgf/cm²'],
  ['ftH2O', 'ftH2O'],
  ['miners-inch-40', 'miners-inch-40'],
  ['gpm/ft', 'gpm/ft'],
])('%s is shown as %s', (unit, words) => {
  expect(unitInWords(unit)).toBe(words)
})
