/** What the motor gives to its shaft. */
import { defineFormula } from '../formula.ts'

/** Power in W at the shaft of the motor. */
export const motorOutputPower = defineFormula({
  id: 'motor-output-power',
  title: 'Power at the shaft of the motor',
  unit: 'W',
  inputs: { motorPower: 'W', motorEfficiency: '1' },
  expression: 'P_m = P · η_m',
  symbols: { motorPower: ['P', 'power into the motor'], motorEfficiency: ['η_m', 'efficiency of the motor'] },
  source: { document: 'general science', place: 'definition of efficiency', basis: 'derived' },
  value: ({ motorPower, motorEfficiency }) => motorPower * motorEfficiency,
  partials: ({ motorPower, motorEfficiency }) => ({ motorPower: motorEfficiency, motorEfficiency: motorPower }),
})
