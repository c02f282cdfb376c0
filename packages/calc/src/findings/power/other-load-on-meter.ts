import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const otherLoadOnMeter = defineFinding({
  id: 'other-load-on-meter',
  group: 'power',
  severity: 'hold',
  place: '/runs/*/power/otherLoads',
  decidedFrom: 'sheet',
  rule: 'Other loads on the same meter were on and were not measured.',
  why: 'Their power is charged to the pump.',
  needs: ['otherLoads'],
  limits: [],
  raised: ({ otherLoads }) => otherLoads === 'on-not-measured',
  message: () =>
    'Other loads on the same meter were on and were not measured; the power read contains them, where the pump alone is expected.',
  remedy:
    'Ask the owner whether they can be off while the meter is timed, switched by whoever runs them; or have their power read by qualified staff and give it.',
  cautions: ['electrical-panel', 'arc-flash', 'alone'],
  source: commonPractice('the power of the plant alone is compared with the water it delivers'),
  examples: {
    passes: [{ otherLoads: 'none' }, { otherLoads: 'off' }, { otherLoads: 'measured' }],
    raises: [{ otherLoads: 'on-not-measured' }],
  },
})
