import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const dischargePressureNegative = defineFinding({
  id: 'discharge-pressure-negative',
  group: 'pressure',
  severity: 'hold',
  place: '/runs/*/dischargePressure/reading',
  decidedFrom: 'sheet',
  rule: 'The discharge pressure is below that of the air.',
  why: 'A pipe that runs downhill can do this; a sign does it more often.',
  needs: ['dischargePressure'],
  limits: [],
  raised: ({ dischargePressure }) => dischargePressure < 0,
  message: ({ dischargePressure }, say) =>
    `A discharge pressure of ${say.pressure(dischargePressure)} was read; a pump is expected to deliver against zero or more.`,
  remedy:
    'Look at the sign and at the zero of the gauge. If the pipe runs downhill from the tap, say so to whoever reviews the test.',
  source: ourJudgement('rare but real, so a person decides'),
  examples: {
    passes: [{ dischargePressure: 0 }, { dischargePressure: 280e3 }],
    raises: [{ dischargePressure: -20e3 }],
  },
})
