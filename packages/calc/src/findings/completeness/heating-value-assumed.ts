import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const heatingValueAssumed = defineFinding({
  id: 'heating-value-assumed',
  group: 'completeness',
  severity: 'note',
  place: '/runs/*/power/heatingValue',
  decidedFrom: 'sheet',
  rule: 'The heating value of the fuel was not given.',
  why: 'It varies by a few percent between suppliers and seasons and goes straight into efficiency.',
  needs: ['heatingValueAssumed', 'heatingValue', 'fuel'],
  limits: [],
  raised: ({ heatingValueAssumed }) => heatingValueAssumed,
  message: ({ heatingValue, fuel }, say) =>
    `The heating value was taken as ${say.number(heatingValue / 1e6)} MJ/m3 for ${fuel}, the edition’s usual one.`,
  remedy: 'Take the figure of the supplier’s statement for the delivery, or of the gas bill.',
  source: commonPractice('heat contents are restated for each delivery and each month'),
  examples: {
    passes: [{ heatingValueAssumed: false, heatingValue: 38.29e9, fuel: 'diesel' }],
    raises: [{ heatingValueAssumed: true, heatingValue: 38.29e9, fuel: 'diesel' }],
  },
})
