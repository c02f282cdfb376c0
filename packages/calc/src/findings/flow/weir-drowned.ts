import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const weirDrowned = defineFinding({
  id: 'weir-drowned',
  group: 'flow',
  severity: 'reject',
  place: '/runs/*/flow/tailwaterBelowCrest',
  decidedFrom: 'sheet',
  rule: 'The water downstream stands at or above the crest or the notch.',
  why: 'The formulas are those of water that falls freely into air.',
  needs: ['weirHead', 'tailwaterBelowCrest'],
  limits: [],
  raised: ({ tailwaterBelowCrest }) => tailwaterBelowCrest <= 0,
  message: ({ tailwaterBelowCrest }, say) =>
    `The water downstream stands ${say.length(-tailwaterBelowCrest)} above the crest; the weir is drowned.`,
  remedy: 'Have the water downstream lowered by whoever runs the channel, or measure flow by another method.',
  cautions: ['lifting-and-falls', 'alone'],
  source: commonPractice('a free fall is the condition of the formula'),
  spoils: ['flow'],
  examples: {
    passes: [{ weirHead: 0.2, tailwaterBelowCrest: 0.001 }],
    raises: [
      { weirHead: 0.2, tailwaterBelowCrest: 0 },
      { weirHead: 0.2, tailwaterBelowCrest: -0.05 },
    ],
  },
})
