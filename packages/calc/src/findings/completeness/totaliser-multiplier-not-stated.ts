import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const totaliserMultiplierNotStated = defineFinding({
  id: 'totaliser-multiplier-not-stated',
  group: 'completeness',
  severity: 'hold',
  place: '/runs/*/flow/multiplier',
  decidedFrom: 'sheet',
  promisedBy: ['full', 'flow-and-power'],
  rule: 'The multiplier of the totaliser was left out rather than stated, even if it is 1.',
  why: 'Registers count in tens, hundreds or thousandths; a forgotten factor is a factor of ten in flow.',
  needs: ['totaliser'],
  limits: [],
  raised: ({ totaliser, totaliserMultiplier }) => totaliser && totaliserMultiplier === undefined,
  message: () => 'No multiplier is stated for the totaliser. 1 was not assumed, so flow is not reported.',
  remedy: 'Read the multiplier from the face of the meter and state it; state 1 if it is 1.',
  source: commonPractice('the multiplier of a register stands on its face'),
  absenceOf: 'meter-multiplier',
  spoils: ['flow'],
  examples: {
    passes: [{ totaliser: true, totaliserMultiplier: 100 }, { totaliser: false }],
    raises: [{ totaliser: true }],
  },
})
