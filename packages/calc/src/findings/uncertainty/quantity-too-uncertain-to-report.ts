import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const quantityTooUncertainToReport = defineFinding({
  id: 'quantity-too-uncertain-to-report',
  group: 'uncertainty',
  severity: 'note',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'A result has an interval wider than half its value either way.',
  why: 'Printing it would mislead.',
  needs: ['uncertainQuantity', 'uncertainShare'],
  limits: ['maxRelative'],
  raised: ({ uncertainShare }, limits) => exceeds(uncertainShare, limits.maxRelative),
  message: ({ uncertainQuantity, uncertainShare }, say) =>
    `${uncertainQuantity} is left out: its 95 % interval is ${say.percent(uncertainShare)} of its value either way.`,
  remedy:
    'See which reading makes most of its uncertainty, and repeat or improve that one. A reading in a panel is for qualified staff only.',
  source: ourJudgement('a figure half as uncertain as large says little'),
  examples: {
    passes: [{ uncertainQuantity: 'Specific capacity', uncertainShare: 0.5 }],
    raises: [{ uncertainQuantity: 'Specific capacity', uncertainShare: 0.51 }],
  },
})
