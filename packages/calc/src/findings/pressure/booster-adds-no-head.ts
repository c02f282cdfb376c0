import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const boosterAddsNoHead = defineFinding({
  id: 'booster-adds-no-head',
  group: 'pressure',
  severity: 'reject',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'The total head of a booster is zero or negative.',
  why: 'A running pump adds head; the two gauges may have changed places.',
  needs: ['plantKind', 'totalDynamicHead'],
  limits: [],
  raised: ({ plantKind, totalDynamicHead }) => plantKind === 'booster' && totalDynamicHead <= 0,
  message: ({ totalDynamicHead }, say) =>
    `Discharge against suction gives a total head of ${say.length(totalDynamicHead)}; a booster is expected to add head.`,
  remedy: 'Look at which gauge is which, and at their units and heights.',
  source: commonPractice('gravity flow through a stopped pump is no test of it'),
  spoils: ['field-head', 'total-dynamic-head'],
  examples: {
    passes: [
      { plantKind: 'booster', totalDynamicHead: 37 },
      { plantKind: 'well', totalDynamicHead: -1 },
    ],
    raises: [
      { plantKind: 'booster', totalDynamicHead: 0 },
      { plantKind: 'booster', totalDynamicHead: -8 },
    ],
  },
})
