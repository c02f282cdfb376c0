import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const flowMethodsDisagree = defineFinding({
  id: 'flow-methods-disagree',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/comparisonFlow',
  decidedFrom: 'sheet',
  rule: 'Two flow methods of a run differ by more than the limit and by more than their uncertainties explain.',
  why: 'At least one of them is wrong, and nothing tells which.',
  needs: ['comparisonDifference', 'comparisonDifferenceU'],
  limits: ['maxFlowDifference', 'flowDifferenceCoverage'],
  raised: ({ comparisonDifference, comparisonDifferenceU }, limits) =>
    exceeds(Math.abs(comparisonDifference), limits.maxFlowDifference) &&
    exceeds(Math.abs(comparisonDifference), limits.flowDifferenceCoverage * comparisonDifferenceU),
  message: ({ comparisonDifference, comparisonDifferenceU }, say, limits) => {
    const allowed = Math.max(limits.maxFlowDifference, limits.flowDifferenceCoverage * comparisonDifferenceU)
    return `The second method gives ${say.percent(Math.abs(comparisonDifference))} ${comparisonDifference > 0 ? 'more' : 'less'} than the tested flow; at most ${say.percent(allowed)} is expected.`
  },
  remedy:
    'Find the reason before you leave: diameter, zero, straight run, settings of the device, condition of the meter.',
  source: ourJudgement('a good clamp-on or traverse is within 2 percent each; 5 percent is outside both'),
  examples: {
    passes: [
      { comparisonDifference: 0.05, comparisonDifferenceU: 0.01 },
      { comparisonDifference: -0.08, comparisonDifferenceU: 0.04 },
    ],
    raises: [
      { comparisonDifference: 0.051, comparisonDifferenceU: 0.01 },
      { comparisonDifference: -0.081, comparisonDifferenceU: 0.04 },
    ],
  },
})
