import { defineFinding, isResolved } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const drawdownNotResolved = defineFinding({
  id: 'drawdown-not-resolved',
  group: 'levels',
  severity: 'note',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'sheet',
  rule: 'Drawdown is not larger than so many times its standard uncertainty as the limit says.',
  why: 'Specific capacity would be uncertain by a third or more.',
  needs: ['drawdown', 'drawdownU'],
  limits: ['drawdownCoverage'],
  raised: ({ drawdown, drawdownU }, { drawdownCoverage }) =>
    drawdown > 0 && !isResolved(drawdown, drawdownU, drawdownCoverage),
  message: ({ drawdown, drawdownU }, say, { drawdownCoverage }) =>
    `Drawdown is ${say.length(drawdown)} with a standard uncertainty of ${say.length(drawdownU)}; more than ${say.number(drawdownCoverage)} times that is needed, so specific capacity is left out.`,
  remedy: 'Read both levels with one electric sounder of known accuracy, from one measuring point.',
  cautions: ['well-and-contamination', 'well-head'],
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
