/** What reaches the pump itself. */
import { defineFormula } from '../formula.ts'

/** Power in W at the pump: what the motor gives, less belt or gear, less the line shaft. */
export const pumpShaftPower = defineFormula({
  id: 'pump-shaft-power',
  title: 'Power at the pump',
  unit: 'W',
  inputs: { motorOutput: 'W', transmissionEfficiency: '1', shaftLoss: 'W' },
  expression: 'P_p = P_m · η_t − P_ls',
  symbols: {
    motorOutput: ['P_m', 'power at the shaft of the motor'],
    transmissionEfficiency: ['η_t', 'efficiency of belt or gear, 1 without them'],
    shaftLoss: ['P_ls', 'power lost in the line shaft, 0 without one'],
  },
  source: { document: 'general science', place: 'balance of powers', basis: 'derived' },
  value: ({ motorOutput, transmissionEfficiency, shaftLoss }) => motorOutput * transmissionEfficiency - shaftLoss,
  partials: ({ motorOutput, transmissionEfficiency }) => ({
    motorOutput: transmissionEfficiency,
    transmissionEfficiency: motorOutput,
    shaftLoss: -1,
  }),
})
