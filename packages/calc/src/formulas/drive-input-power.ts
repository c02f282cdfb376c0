/** Power into a variable-frequency drive from the power it gives. */
import { defineFormula } from '../formula.ts'

/** Power in W at the supply of the drive. */
export const driveInputPower = defineFormula({
  id: 'drive-input-power',
  title: 'Power at the supply of the drive',
  unit: 'W',
  inputs: { outputPower: 'W', driveEfficiency: '1' },
  expression: 'P = P_out / η_d',
  symbols: {
    outputPower: ['P_out', 'power between drive and motor'],
    driveEfficiency: ['η_d', 'efficiency of the drive'],
  },
  source: {
    document: 'common practice',
    place: 'the supply of the drive is the boundary of the plant',
    basis: 'common practice',
  },
  value: ({ outputPower, driveEfficiency }) => outputPower / driveEfficiency,
  partials: ({ outputPower, driveEfficiency }) => ({
    outputPower: 1 / driveEfficiency,
    driveEfficiency: -outputPower / (driveEfficiency * driveEfficiency),
  }),
})
