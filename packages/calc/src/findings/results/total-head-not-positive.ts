import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const totalHeadNotPositive = defineFinding({
  id: 'total-head-not-positive',
  group: 'results',
  severity: 'reject',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Total dynamic head is zero or negative.',
  why: 'Water that falls through the plant is not pumped; there is no work on the water to compare with the energy bought.',
  needs: ['totalDynamicHead'],
  limits: [],
  raised: ({ totalDynamicHead }) => totalDynamicHead <= 0,
  message: ({ totalDynamicHead }, say) =>
    `The readings give a total dynamic head of ${say.length(totalDynamicHead)}; a plant that pumps has more than none.`,
  remedy:
    'Look at the signs and units of the levels, of the gauges and of their heights; at a booster, at which gauge is which.',
  source: commonPractice('work on the water is flow times head'),
  spoils: ['water-power'],
  silences: ['efficiency-unusually-low'],
  examples: {
    passes: [{ totalDynamicHead: 0.1 }],
    raises: [{ totalDynamicHead: 0 }, { totalDynamicHead: -12.8 }],
  },
})
