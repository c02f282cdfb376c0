import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const straightRunVeryShortUpstream = defineFinding({
  id: 'straight-run-very-short-upstream',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/flow/pipe/straightUpstream',
  decidedFrom: 'sheet',
  rule: 'Hardly any straight pipe lies upstream of the section.',
  why: 'The error of flow can no longer be bounded.',
  needs: ['straightUpstream'],
  limits: ['minUpstreamHard'],
  raised: ({ straightUpstream }, limits) => fallsShort(straightUpstream, limits.minUpstreamHard),
  message: ({ straightUpstream }, say, limits) =>
    `Only ${say.number(straightUpstream)} pipe diameters are straight upstream of the section; 8 to 10 are usual, and ${say.number(limits.minUpstreamHard)} are the least.`,
  remedy:
    'Use an existing tapping elsewhere or another method. A new tapping is for people who know the pipe and are qualified to make one; if there is none, whoever reviews the test has to judge it.',
  cautions: ['drilling-pressurised-pipe'],
  source: ourJudgement(
    'half of the shorter figure of common practice; two diameters with little asymmetry may satisfy a reviewer',
  ),
  examples: {
    passes: [{ straightUpstream: 4 }, { straightUpstream: 8 }],
    raises: [{ straightUpstream: 3.9 }, { straightUpstream: 0 }],
  },
})
