import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

/** Standard uncertainties that drawdown must exceed for specific capacity to be reported. */
const COVERAGE = 3

export const drawdownNotResolved = defineFinding({
  id: 'drawdown-not-resolved',
  group: 'levels',
  severity: 'note',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'sheet',
  rule: 'Drawdown is not larger than three times its standard uncertainty.',
  why: 'Specific capacity would be uncertain by a third or more.',
  needs: ['drawdown', 'drawdownU'],
  limits: [],
  raised: ({ drawdown, drawdownU }) => drawdown > 0 && !exceeds(drawdown, COVERAGE * drawdownU),
  message: ({ drawdown, drawdownU }, say) =>
    `Drawdown is ${say.length(drawdown)} with a standard uncertainty of ${say.length(drawdownU)}; more than three times that is needed, so specific capacity is left out.`,
  remedy: 'Read both levels with one electric sounder of known accuracy, from one measuring point.',
  source: ourJudgement('three standard uncertainties keep specific capacity within one third'),
  examples: {
    passes: [
      { drawdown: 0.0301, drawdownU: 0.01 },
      { drawdown: 0, drawdownU: 0.01 },
      { drawdown: -1, drawdownU: 0.01 },
    ],
    raises: [
      { drawdown: 0.03, drawdownU: 0.01 },
      { drawdown: 0.02, drawdownU: 0.01 },
    ],
  },
})
