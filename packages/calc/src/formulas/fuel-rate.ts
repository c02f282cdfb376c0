/** Fuel that an engine takes. */
import { defineFormula } from '../formula.ts'

/** Fuel rate in m³/s at base conditions. */
export const fuelRate = defineFormula({
  id: 'fuel-rate',
  title: 'Fuel rate',
  unit: 'm3/s',
  inputs: { volume: 'm3', elapsed: 's' },
  expression: 'q_f = V_b / t',
  symbols: { volume: ['V_b', 'volume of the fuel at base conditions'], elapsed: ['t', 'time in which it was used'] },
  source: { document: 'general science', place: 'a rate is a volume over time', basis: 'derived' },
  value: ({ volume, elapsed }) => volume / elapsed,
  partials: ({ volume, elapsed }) => ({ volume: 1 / elapsed, elapsed: -volume / (elapsed * elapsed) }),
})
