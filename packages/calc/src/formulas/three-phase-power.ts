/** Power of a three-phase supply. */
import { defineFormula } from '../formula.ts'

/** Power in W from the mean line voltage in V, the mean line current in A and the power factor. */
export const threePhasePower = defineFormula({
  id: 'three-phase-power',
  title: 'Power of the three phases',
  unit: 'W',
  inputs: { voltage: 'V', current: 'A', powerFactor: '1' },
  expression: 'P = √3 · U · I · pf',
  symbols: {
    voltage: ['U', 'mean voltage between lines'],
    current: ['I', 'mean current of the lines'],
    powerFactor: ['pf', 'power factor'],
  },
  validity: 'Balanced load; power factor of the fundamental.',
  source: { document: 'general electrical engineering', place: 'power of a three-phase system', basis: 'from memory' },
  value: ({ voltage, current, powerFactor }) => Math.sqrt(3) * voltage * current * powerFactor,
  partials: ({ voltage, current, powerFactor }) => ({
    voltage: Math.sqrt(3) * current * powerFactor,
    current: Math.sqrt(3) * voltage * powerFactor,
    powerFactor: Math.sqrt(3) * voltage * current,
  }),
})
