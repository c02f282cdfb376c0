import { defineFinding, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const headLessThanLift = defineFinding({
  id: 'head-less-than-lift',
  group: 'results',
  severity: 'hold',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Total dynamic head of a well plant is smaller than the lift.',
  why: 'Only a vacuum at the discharge would make it so: a sign or a height is wrong.',
  needs: ['plantKind', 'totalDynamicHead', 'lift'],
  limits: [],
  raised: ({ plantKind, totalDynamicHead, lift }) => plantKind === 'well' && fallsShort(totalDynamicHead, lift),
  message: ({ totalDynamicHead, lift }, say) =>
    `Total dynamic head is ${say.length(totalDynamicHead)}, less than the lift of ${say.length(lift)}.`,
  remedy: 'Check the sign of the pressure, and the height of the gauge above the discharge centre.',
  source: commonPractice('what is lifted and pressed is never less than what is lifted'),
  examples: {
    passes: [
      { plantKind: 'well', totalDynamicHead: 60, lift: 60 },
      { plantKind: 'well', totalDynamicHead: 72, lift: 44 },
      { plantKind: 'booster', totalDynamicHead: 30, lift: 44 },
    ],
    raises: [{ plantKind: 'well', totalDynamicHead: 59.99, lift: 60 }],
  },
})
