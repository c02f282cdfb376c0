import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const plantNotTestable = defineFinding({
  id: 'plant-not-testable',
  group: 'completeness',
  severity: 'note',
  place: '/purpose',
  decidedFrom: 'sheet',
  scope: 'visit',
  rule: 'The plant could not be tested.',
  why: 'The visit is kept with its reason, so that nobody wonders why there are no results.',
  needs: ['purpose'],
  limits: [],
  raised: ({ purpose }) => purpose === 'not-testable',
  message: ({ notTestableBecause }) =>
    `The plant could not be tested${notTestableBecause === undefined ? '' : ` (${notTestableBecause})`}; what was read is kept.`,
  remedy: 'Nothing more is asked of this visit. The reason is kept with the test.',
  source: ourJudgement('a visit that had to end is a good visit'),
  examples: {
    passes: [{ purpose: 'full' }, { purpose: 'flow-and-power' }],
    raises: [{ purpose: 'not-testable', notTestableBecause: 'unsafe' }, { purpose: 'not-testable' }],
  },
})
