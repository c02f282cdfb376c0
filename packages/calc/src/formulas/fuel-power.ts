/** Power that goes into an engine as heat of its fuel. */
import { defineFormula } from '../formula.ts'

/** Input power in W: fuel rate times its higher heating value, by which fuel is sold. */
export const fuelPower = defineFormula({
  id: 'fuel-power',
  title: 'Power in the fuel',
  unit: 'W',
  inputs: { rate: 'm3/s', heatingValue: 'J/m3' },
  expression: 'P = q_f · H',
  symbols: { rate: ['q_f', 'fuel rate at base conditions'], heatingValue: ['H', 'higher heating value of the fuel'] },
  source: { document: 'general science', place: 'definition of the heating value', basis: 'derived' },
  value: ({ rate, heatingValue }) => rate * heatingValue,
  partials: ({ rate, heatingValue }) => ({ rate: heatingValue, heatingValue: rate }),
})
