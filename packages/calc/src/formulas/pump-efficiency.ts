/** Efficiency of the pump by itself. */
import { defineFormula } from '../formula.ts'

/** Efficiency of the pump, a ratio: motor, drive, transmission and line shaft left out. */
export const pumpEfficiency = defineFormula({
  id: 'pump-efficiency',
  title: 'Efficiency of the pump itself',
  unit: '1',
  inputs: { waterPower: 'W', shaftPower: 'W' },
  expression: 'η_p = P_w / P_p',
  symbols: { waterPower: ['P_w', 'water power'], shaftPower: ['P_p', 'power at the pump'] },
  source: {
    document: 'ISO 9906:2012',
    place: 'definition of pump efficiency',
    basis: 'from memory',
  },
  value: ({ waterPower, shaftPower }) => waterPower / shaftPower,
  partials: ({ waterPower, shaftPower }) => ({
    waterPower: 1 / shaftPower,
    shaftPower: -waterPower / (shaftPower * shaftPower),
  }),
})
