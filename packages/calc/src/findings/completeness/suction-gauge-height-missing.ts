import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const suctionGaugeHeightMissing = defineFinding({
  id: 'suction-gauge-height-missing',
  group: 'completeness',
  severity: 'caution',
  place: '/runs/*/suction',
  decidedFrom: 'sheet',
  promisedBy: ['full'],
  rule: 'A suction pressure was read, but not the height of its gauge above the discharge centre.',
  why: 'Each foot of gauge height is a foot of head.',
  needs: ['suctionGaugeRead', 'suctionPressure'],
  limits: [],
  raised: ({ suctionGaugeRead, suctionGaugeHeight }) => suctionGaugeRead && suctionGaugeHeight === undefined,
  message: ({ suctionPressure }, say) =>
    `The suction gauge showed ${say.pressure(suctionPressure)}, but its height above the discharge centre was not given; zero was used.`,
  remedy:
    'Measure from the centre of the discharge pipe to the centre of the suction gauge, negative if the gauge is lower, and add it.',
  cautions: ['rotating-shaft'],
  source: commonPractice('the height of a gauge is added to the head of its pressure'),
  examples: {
    passes: [
      { suctionGaugeRead: true, suctionPressure: 127e3, suctionGaugeHeight: 0.15 },
      { suctionGaugeRead: false, suctionPressure: -36e3 },
    ],
    raises: [{ suctionGaugeRead: true, suctionPressure: 127e3 }],
  },
})
