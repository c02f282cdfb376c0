import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const coarseFlowMethod = defineFinding({
  id: 'coarse-flow-method',
  group: 'flow',
  severity: 'note',
  place: '/runs/*/flow',
  decidedFrom: 'sheet',
  rule: 'Flow is more uncertain than small changes of a plant.',
  why: 'What a repair gains would disappear in this uncertainty.',
  needs: ['flow', 'flowU'],
  limits: ['maxFlowUncertainty'],
  raised: ({ flow, flowU }, limits) => flow > 0 && exceeds(flowU / flow, limits.maxFlowUncertainty),
  message: ({ flow, flowU }, say, limits) =>
    `Flow has a standard uncertainty of ${say.percent(flowU / flow)}; to judge a repair ${say.percent(limits.maxFlowUncertainty)} or less is wanted.`,
  remedy: 'Use it for orientation; measure flow better where a repair is to be judged.',
  source: ourJudgement('twice 4 percent already covers half of usual repair gains'),
  examples: {
    passes: [{ flow: 0.1, flowU: 0.004 }],
    raises: [{ flow: 0.1, flowU: 0.0041 }],
  },
})
