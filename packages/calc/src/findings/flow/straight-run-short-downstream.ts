import { defineFinding, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const straightRunShortDownstream = defineFinding({
  id: 'straight-run-short-downstream',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/pipe/straightDownstream',
  decidedFrom: 'sheet',
  rule: 'Less straight pipe lies downstream of the section than is usual.',
  why: 'A bend or valve close behind disturbs the section.',
  needs: ['straightDownstream'],
  limits: ['minDownstream'],
  raised: ({ straightDownstream }, limits) => fallsShort(straightDownstream, limits.minDownstream),
  message: ({ straightDownstream }, say, limits) =>
    `${say.number(straightDownstream)} pipe diameters are straight downstream of the section; ${say.number(limits.minDownstream)} or more are expected.`,
  remedy:
    'Use an existing tapping further upstream if the straight run there allows it. A new tapping is for people qualified to make one.',
  cautions: ['drilling-pressurised-pipe'],
  source: commonPractice('2 to 4 pipe diameters downstream'),
  examples: {
    passes: [{ straightDownstream: 2 }, { straightDownstream: 3.6 }],
    raises: [{ straightDownstream: 1.9 }],
  },
})
