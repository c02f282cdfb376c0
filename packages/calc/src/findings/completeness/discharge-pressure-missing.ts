import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const dischargePressureMissing = defineFinding({
  id: 'discharge-pressure-missing',
  group: 'completeness',
  severity: 'reject',
  place: '/runs/*/dischargePressure',
  decidedFrom: 'sheet',
  promisedBy: ['full'],
  rule: 'A run has no discharge pressure, and the discharge is not stated to be open to the air.',
  why: 'The head at the discharge tap is unknown.',
  needs: [],
  limits: [],
  raised: ({ dischargePressure, dischargeOpen }) => dischargePressure === undefined && dischargeOpen !== true,
  message: () =>
    'No discharge pressure was read in this run, and the discharge is not marked as open to the air; head needs one or the other.',
  remedy:
    'Read the gauge at the discharge tap while the pump runs, or mark the discharge as open. If the tap can’t be used safely, list the reading as left out, with the reason.',
  cautions: ['pressure-and-hammer', 'chemigation'],
  source: commonPractice('total head of a well includes the pressure at the discharge tap'),
  absenceOf: 'discharge-pressure',
  spoils: ['gauge-head'],
  examples: {
    passes: [{ dischargePressure: 280e3 }, { dischargeOpen: true }, { dischargePressure: 0, dischargeOpen: false }],
    raises: [{}, { dischargeOpen: false }],
  },
})
