/** Load of the motor beside its nameplate. */
import { defineFormula } from '../formula.ts'

/** Power the motor gives, as a share of its rated power. */
export const motorLoad = defineFormula({
  id: 'motor-load',
  title: 'Load of the motor',
  unit: '1',
  inputs: { motorPower: 'W', motorEfficiency: '1', ratedPower: 'W' },
  expression: 'L = P_m · η_m / P_rated',
  symbols: {
    motorPower: ['P_m', 'power into the motor'],
    motorEfficiency: ['η_m', 'efficiency of the motor'],
    ratedPower: ['P_rated', 'rated output of the motor'],
  },
  validity: 'Motor efficiency taken at its nameplate value; below half load it falls.',
  source: { document: 'common practice', place: 'output of the motor over its rated output', basis: 'common practice' },
  value: ({ motorPower, motorEfficiency, ratedPower }) => (motorPower * motorEfficiency) / ratedPower,
  partials: ({ motorPower, motorEfficiency, ratedPower }) => ({
    motorPower: motorEfficiency / ratedPower,
    motorEfficiency: motorPower / ratedPower,
    ratedPower: (-motorPower * motorEfficiency) / (ratedPower * ratedPower),
  }),
})
