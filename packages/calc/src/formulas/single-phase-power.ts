/** Power of a single-phase supply. */
import { defineFormula } from '../formula.ts'

/** Power in W from voltage in V, current in A and power factor. */
export const singlePhasePower = defineFormula({
  id: 'single-phase-power',
  title: 'Power of the single phase',
  unit: 'W',
  inputs: { voltage: 'V', current: 'A', powerFactor: '1' },
  expression: 'P = U · I · pf',
  symbols: {
    voltage: ['U', 'voltage'],
    current: ['I', 'current'],
    powerFactor: ['pf', 'power factor'],
  },
  source: { document: 'general electrical engineering', place: 'power of a single-phase supply', basis: 'from memory' },
  value: ({ voltage, current, powerFactor }) => voltage * current * powerFactor,
  partials: ({ voltage, current, powerFactor }) => ({
    voltage: current * powerFactor,
    current: voltage * powerFactor,
    powerFactor: voltage * current,
  }),
})
