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
    'Move to a section with a longer straight run if there is one, traverse two diameters, or compare with a second method.',
  source: commonPractice('8 to 10 pipe diameters from an obstruction upstream'),
  examples: {
    passes: [{ straightUpstream: 8 }, { straightUpstream: 11.8 }, { straightUpstream: 3 }],
    raises: [{ straightUpstream: 4 }, { straightUpstream: 7.9 }],
  },
})
