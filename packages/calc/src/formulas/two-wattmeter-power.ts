/** Power of three lines from two wattmeters. */
import { defineFormula } from '../formula.ts'

/** Power in W: the signed sum of two wattmeters, each between one line and the third. */
export const twoWattmeterPower = defineFormula({
  id: 'two-wattmeter-power',
  title: 'Power by two wattmeters',
  unit: 'W',
  inputs: { first: 'W', second: 'W' },
  expression: 'P = W₁ + W₂',
  symbols: {
    first: ['W₁', 'first wattmeter'],
    second: ['W₂', 'second wattmeter, negative below a power factor of one half'],
  },
  source: {
    document: 'general electrical engineering',
    place: 'two wattmeters measure a system of three wires (Aron, Blondel)',
    basis: 'from memory',
  },
  value: ({ first, second }) => first + second,
  partials: () => ({ first: 1, second: 1 }),
})
