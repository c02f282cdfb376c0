/** Work on the water that a volume of fuel gives. */
import { defineFormula } from '../formula.ts'

/** Work in J on the water for a m³ of fuel. */
export const waterWorkPerFuel = defineFormula({
  id: 'water-work-per-fuel',
  title: 'Work on the water per volume of fuel',
  unit: 'J/m3',
  inputs: { waterPower: 'W', rate: 'm3/s' },
  expression: 'w = P_w / q_f',
  symbols: { waterPower: ['P_w', 'water power'], rate: ['q_f', 'fuel rate at base conditions'] },
  source: { document: 'general science', place: 'work over the fuel that does it', basis: 'derived' },
  value: ({ waterPower, rate }) => waterPower / rate,
  partials: ({ waterPower, rate }) => ({ waterPower: 1 / rate, rate: -waterPower / (rate * rate) }),
})
