import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const energyRateMissing = defineFinding({
  id: 'energy-rate-missing',
  group: 'completeness',
  severity: 'note',
  place: '/economics/energyRate',
  decidedFrom: 'sheet',
  scope: 'visit',
  promisedBy: ['full', 'flow-and-power'],
  rule: 'No price of energy was given.',
  why: 'Cost is left out of the results.',
  needs: ['energyRateGiven'],
  limits: [],
  raised: ({ energyRateGiven }) => !energyRateGiven,
  message: () => 'No price of energy was given, so cost is not reported; the test itself does not need one.',
  remedy: 'Add the average price of a kilowatt-hour from the bills of the last year.',
  source: ourJudgement('cost is no part of the validity of a test'),
  examples: {
    passes: [{ energyRateGiven: true }],
    raises: [{ energyRateGiven: false }],
  },
})
