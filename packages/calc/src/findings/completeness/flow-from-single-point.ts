import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const flowFromSinglePoint = defineFinding({
  id: 'flow-from-single-point',
  group: 'completeness',
  severity: 'caution',
  place: '/runs/*/flow',
  decidedFrom: 'sheet',
  rule: 'Flow rests on the velocity at one point of the pipe.',
  why: 'The ratio of the mean velocity to that of the point has to be assumed or remembered; it ranges over several percent.',
  needs: ['singlePointFactor'],
  limits: [],
  raised: ({ singlePointFactor }) => singlePointFactor > 0,
  message: ({ singlePointFactor }, say) =>
    `Flow was taken from the velocity at one point, times a factor of ${say.number(singlePointFactor)}; its uncertainty was widened.`,
  remedy:
    'Traverse the pipe where that can be done safely, or give the factor from an earlier traverse at this very place.',
  cautions: ['drilling-pressurised-pipe'],
  source: ourJudgement('0.82 ± 0.04, that is 5 percent: fit for orientation, not for small differences'),
  examples: {
    passes: [{ singlePointFactor: 0 }],
    raises: [{ singlePointFactor: 0.82 }, { singlePointFactor: 0.795 }],
  },
})
