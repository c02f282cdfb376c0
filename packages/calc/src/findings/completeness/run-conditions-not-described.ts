import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const runConditionsNotDescribed = defineFinding({
  id: 'run-conditions-not-described',
  group: 'completeness',
  severity: 'note',
  place: '/runs/*/condition',
  decidedFrom: 'sheet',
  promisedBy: ['full', 'flow-and-power'],
  rule: 'A run does not say under which operating condition it was made.',
  why: 'A test at an unusual duty says little about the energy of a year.',
  needs: [],
  limits: [],
  raised: ({ runDescribed }) => runDescribed !== true,
  message: () =>
    'The run does not say whether the plant ran as it usually does, which outlets were open and how the valve stood.',
  remedy:
    'Add the condition: duty, position of the discharge valve, outlets or sets that were open, other pumps on the line.',
  source: commonPractice('a plant is tested at its normal operating condition'),
  examples: {
    passes: [{ runDescribed: true }],
    raises: [{ runDescribed: false }, {}],
  },
})
