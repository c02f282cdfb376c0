import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const handCheckDiffers = defineFinding({
  id: 'hand-check-differs',
  group: 'results',
  severity: 'note',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'The trade’s shortcut arithmetic differs from the exact result by more than its own rounding.',
  why: 'It tells whoever follows with a calculator why the figures differ.',
  needs: ['handCheckDifference'],
  limits: ['maxHandDifference'],
  raised: ({ handCheckDifference }, limits) => exceeds(handCheckDifference, limits.maxHandDifference),
  message: ({ handCheckDifference }, say, limits) =>
    `The hand check differs from the exact overall plant efficiency by ${say.percent(handCheckDifference)}; up to ${say.percent(limits.maxHandDifference)} comes from the rounded constants of the trade.`,
  remedy:
    'Nothing is needed. The density of the water and the settings of the edition, which the report states, explain the rest.',
  source: ourJudgement('3960 instead of 3954 to 3958 is 0.15 percent, 2.31 instead of 2.3087 is 0.06 percent'),
  examples: {
    passes: [{ handCheckDifference: 0.005 }, { handCheckDifference: 0.001 }],
    raises: [{ handCheckDifference: 0.006 }],
  },
})
