/** Energy for each unit of water. */
import { defineFormula } from '../formula.ts'

/** Energy per volume in J/m³ from input power in W and flow in m³/s. */
export const energyPerVolume = defineFormula({
  id: 'energy-per-volume',
  title: 'Energy per volume of water',
  unit: 'J/m3',
  inputs: { inputPower: 'W', flow: 'm3/s' },
  expression: 'e = P_in / Q',
  symbols: {
    inputPower: ['P_in', 'input power'],
    flow: ['Q', 'flow'],
  },
  source: { document: 'general science', place: 'definition', basis: 'derived' },
  value: ({ inputPower, flow }) => inputPower / flow,
  partials: ({ inputPower, flow }) => ({ inputPower: 1 / flow, flow: -inputPower / (flow * flow) }),
})
