/** Power factor of a balanced supply from two wattmeters. */
import { defineFormula } from '../formula.ts'

const root = (a: number, b: number): number => Math.sqrt(a * a + b * b - a * b)

/** Power factor, a ratio, of a balanced load; the same as cos(atan(√3 · (W₁ − W₂) ÷ (W₁ + W₂))), without the angle. */
export const twoWattmeterPowerFactor = defineFormula({
  id: 'two-wattmeter-power-factor',
  title: 'Power factor by two wattmeters',
  unit: '1',
  inputs: { first: 'W', second: 'W' },
  expression: 'pf = (W₁ + W₂) / (2 · √(W₁² + W₂² − W₁·W₂))',
  symbols: { first: ['W₁', 'first wattmeter'], second: ['W₂', 'second wattmeter'] },
  validity: 'a balanced load; both wattmeters not zero',
  source: {
    document: 'general electrical engineering',
    place: 'tangent of the phase angle is √3 times the difference over the sum',
    basis: 'derived',
  },
  value: ({ first, second }) => (first + second) / (2 * root(first, second)),
  partials: ({ first, second }) => {
    const r = root(first, second)
    const of = (own: number, other: number) => 1 / (2 * r) - ((first + second) * (2 * own - other)) / (4 * r * r * r)
    return { first: of(first, second), second: of(second, first) }
  },
})
