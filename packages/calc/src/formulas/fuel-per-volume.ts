/** Fuel that a volume of water takes. */
import { defineFormula } from '../formula.ts'

/** Volume of fuel for a volume of water, a ratio. */
export const fuelPerVolume = defineFormula({
  id: 'fuel-per-volume',
  title: 'Fuel per volume of water',
  unit: '1',
  inputs: { rate: 'm3/s', flow: 'm3/s' },
  expression: 'f = q_f / Q',
  symbols: { rate: ['q_f', 'fuel rate at base conditions'], flow: ['Q', 'flow of the water'] },
  source: { document: 'general science', place: 'ratio of two rates', basis: 'derived' },
  value: ({ rate, flow }) => rate / flow,
  partials: ({ rate, flow }) => ({ rate: 1 / flow, flow: -rate / (flow * flow) }),
})
