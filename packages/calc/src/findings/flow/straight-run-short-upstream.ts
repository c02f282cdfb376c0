import { defineFinding, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const straightRunShortUpstream = defineFinding({
  id: 'straight-run-short-upstream',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/pipe/straightUpstream',
  decidedFrom: 'sheet',
  rule: 'Less straight pipe lies upstream of the section than is usual.',
  why: 'Bends and valves leave swirl and a lopsided profile behind them.',
  needs: ['straightUpstream'],
  limits: ['minUpstream', 'minUpstreamHard'],
  raised: ({ straightUpstream }, limits) =>
    fallsShort(straightUpstream, limits.minUpstream) && !fallsShort(straightUpstream, limits.minUpstreamHard),
  message: ({ straightUpstream }, say, limits) =>
    `${say.number(straightUpstream)} pipe diameters are straight upstream of the section; ${say.number(limits.minUpstream)} or more are expected. The uncertainty of flow was widened.`,
  remedy:
    'Use an existing tapping with a longer straight run if there is one, or traverse two diameters. A new tapping is for people who know the pipe and are qualified to make one.',
  cautions: ['drilling-pressurised-pipe'],
  source: commonPractice('8 to 10 pipe diameters from an obstruction upstream'),
  examples: {
    passes: [{ straightUpstream: 8 }, { straightUpstream: 11.8 }, { straightUpstream: 3 }],
    raises: [{ straightUpstream: 4 }, { straightUpstream: 7.9 }],
  },
})
