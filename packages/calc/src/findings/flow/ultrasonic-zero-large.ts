import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const ultrasonicZeroLarge = defineFinding({
  id: 'ultrasonic-zero-large',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/zeroFlow',
  decidedFrom: 'sheet',
  rule: 'What a clamp-on meter shows without flow is a large share of what it shows with it.',
  why: 'The zero was taken off, but a large one moves, and so does the flow that is left.',
  needs: ['zeroFlowShare'],
  limits: ['maxZeroFlow'],
  raised: ({ zeroFlowShare }, limits) => exceeds(Math.abs(zeroFlowShare), limits.maxZeroFlow),
  message: ({ zeroFlowShare }, say, limits) =>
    `Without flow the device showed ${say.percent(zeroFlowShare)} of what it shows in the run; at most ${say.percent(limits.maxZeroFlow)} is expected. It was taken off.`,
  remedy:
    'Where guards and moving parts leave room, clean the pipe under the sensors, renew the couplant, let the device warm up, and read zero and flow again.',
  cautions: ['lock-out', 'rotating-shaft'],
  source: ourJudgement('two percent is the uncertainty of a good clamp-on reading'),
  examples: {
    passes: [{ zeroFlowShare: 0.02 }, { zeroFlowShare: -0.004 }],
    raises: [{ zeroFlowShare: 0.021 }, { zeroFlowShare: -0.03 }],
  },
})
