import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const flowBeyondPumpRecord = defineFinding({
  id: 'flow-beyond-pump-record',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/flow',
  decidedFrom: 'context',
  rule: 'The flow is far more than the highest on the plant’s record.',
  why: 'Worn pumps lose flow; half as much again is more often a factor or a unit.',
  needs: ['flow', 'recordFlowMax'],
  limits: ['maxFlowRatio'],
  raised: ({ flow, recordFlowMax }, limits) => exceeds(flow, limits.maxFlowRatio * recordFlowMax),
  message: ({ flow, recordFlowMax }, say, limits) =>
    `A flow of ${say.flow(flow)} was measured; the highest on record is ${say.flow(recordFlowMax)}, and up to ${say.number(limits.maxFlowRatio)} times that is expected.`,
  remedy: 'Look at units, diameter and manometer fluid. If the pump was replaced, record it.',
  source: ourJudgement('pumps run out at 1.3 to 1.5 times the flow of their best point'),
  examples: {
    passes: [
      { flow: 0.09, recordFlowMax: 0.06 },
      { flow: 0.05, recordFlowMax: 0.06 },
    ],
    raises: [{ flow: 0.091, recordFlowMax: 0.06 }],
  },
})
