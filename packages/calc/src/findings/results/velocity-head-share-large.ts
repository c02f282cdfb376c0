import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const velocityHeadShareLarge = defineFinding({
  id: 'velocity-head-share-large',
  group: 'results',
  severity: 'note',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Velocity head is a large share of total dynamic head.',
  why: 'Whether it is counted changes efficiency visibly.',
  needs: ['velocityHead', 'totalDynamicHead'],
  limits: ['maxVelocityHeadShare'],
  raised: ({ velocityHead, totalDynamicHead }, limits) =>
    totalDynamicHead > 0 && exceeds(velocityHead, limits.maxVelocityHeadShare * totalDynamicHead),
  message: ({ velocityHead, totalDynamicHead }, say, limits) =>
    `Velocity head is ${say.length(velocityHead)} of a total dynamic head of ${say.length(totalDynamicHead)}, more than the usual ${say.percent(limits.maxVelocityHeadShare)}; results with and without it are both reported.`,
  remedy: 'Nothing is needed. Compare only with results that treat velocity head in the same way.',
  source: ourJudgement('three percent is more than the usual uncertainty of head'),
  examples: {
    passes: [
      { velocityHead: 1.8, totalDynamicHead: 60 },
      { velocityHead: 0.1, totalDynamicHead: 60 },
      { velocityHead: 0.1, totalDynamicHead: -1 },
    ],
    raises: [{ velocityHead: 1.9, totalDynamicHead: 60 }],
  },
})
