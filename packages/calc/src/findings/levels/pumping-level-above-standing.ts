import { defineFinding, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

/** Standard uncertainties of drawdown that a rise may have before it is more than reading error. */
const COVERAGE = 2

export const pumpingLevelAboveStanding = defineFinding({
  id: 'pumping-level-above-standing',
  group: 'levels',
  severity: 'hold',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'sheet',
  rule: 'The pumping level is above the standing level by more than their uncertainty.',
  why: 'Pumping lowers the water in its own well: the levels may have been exchanged, or the standing level read too soon after a stop.',
  needs: ['drawdown', 'drawdownU'],
  limits: [],
  raised: ({ drawdown, drawdownU }) => fallsShort(drawdown, -COVERAGE * drawdownU),
  message: ({ drawdown }, say) =>
    `Water stood ${say.length(-drawdown)} higher while pumping than at rest; pumping lowers it.`,
  remedy:
    'Where the access can be reached safely, read both levels again from the same measuring point before you leave. If they were exchanged, submit the sheet with each in its place.',
  cautions: ['well-and-contamination', 'well-head'],
  source: commonPractice('a pumped well draws down; a hold, since a well that has not recovered explains a small rise'),
  examples: {
    passes: [
      { drawdown: 7.1, drawdownU: 0.01 },
      { drawdown: -0.02, drawdownU: 0.01 },
      { drawdown: 0, drawdownU: 0 },
    ],
    raises: [
      { drawdown: -0.021, drawdownU: 0.01 },
      { drawdown: -7.1, drawdownU: 0.01 },
    ],
  },
})
