import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const gaugeHeightMissing = defineFinding({
  id: 'gauge-height-missing',
  group: 'completeness',
  severity: 'caution',
  place: '/runs/*/dischargePressure/gaugeHeightAboveDischargeCentre',
  decidedFrom: 'sheet',
  promisedBy: ['full'],
  rule: 'A discharge pressure was read, but not the height of the gauge above the discharge centre.',
  why: 'Each foot of gauge height is a foot of head; where the lift is low that is several percent.',
  needs: ['dischargePressure'],
  limits: [],
  raised: ({ gaugeHeight }) => gaugeHeight === undefined,
  message: ({ dischargePressure }, say) =>
    `The gauge showed ${say.pressure(dischargePressure)}, but its height above the discharge centre was not given; zero was used.`,
  remedy:
    'Measure from the centre of the discharge pipe to the centre of the gauge, negative if the gauge is lower, and add it.',
  cautions: ['rotating-shaft'],
  source: commonPractice('the height of the gauge is added to the head of its pressure'),
  absenceOf: 'gauge-height',
  examples: {
    passes: [
      { dischargePressure: 280e3, gaugeHeight: 0 },
      { dischargePressure: 280e3, gaugeHeight: -0.3 },
    ],
    raises: [{ dischargePressure: 280e3 }],
  },
})
