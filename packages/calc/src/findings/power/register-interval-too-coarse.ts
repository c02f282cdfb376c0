import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const registerIntervalTooCoarse = defineFinding({
  id: 'register-interval-too-coarse',
  group: 'power',
  severity: 'caution',
  place: '/runs/*/power',
  decidedFrom: 'sheet',
  rule: 'The energy timed on the register is only a few of its last digits.',
  why: 'A register counts in whole digits, which limits the accuracy of power.',
  needs: ['registerStep', 'registerEnergy'],
  limits: ['maxRegisterResolution'],
  raised: ({ registerStep, registerEnergy }, limits) =>
    exceeds(registerStep / Math.sqrt(6), limits.maxRegisterResolution * registerEnergy),
  message: ({ registerStep, registerEnergy }, say) =>
    `Energy of ${say.number(registerEnergy / registerStep)} last digits of the register was timed; 41 or more keep its step below one percent of power.`,
  remedy: 'Time longer, or time pulses of the meter from outside.',
  cautions: ['electrical-panel'],
  source: ourJudgement('as for the register of a flow meter'),
  examples: {
    passes: [
      { registerStep: 0.01 * 3.6e6, registerEnergy: (0.01 * 3.6e6) / Math.sqrt(6) / 0.01 },
      { registerStep: 72e3, registerEnergy: 16.2e6 },
    ],
    raises: [{ registerStep: 3.6e6, registerEnergy: 36e6 }],
  },
})
