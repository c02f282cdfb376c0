/** Power a drive hands to the motor. */
import { defineFormula } from '../formula.ts'

/** Power in W at the terminals of the motor. */
export const motorInputPower = defineFormula({
  id: 'motor-input-power',
  title: 'Power into the motor',
  unit: 'W',
  inputs: { inputPower: 'W', driveEfficiency: '1' },
  expression: 'P_m = P_in · η_d',
  symbols: {
    inputPower: ['P_in', 'input power of the plant'],
    driveEfficiency: ['η_d', 'efficiency of the drive'],
  },
  source: { document: 'common practice', place: 'the loss of the drive stays in the drive', basis: 'common practice' },
  value: ({ inputPower, driveEfficiency }) => inputPower * driveEfficiency,
  partials: ({ inputPower, driveEfficiency }) => ({ inputPower: driveEfficiency, driveEfficiency: inputPower }),
})
