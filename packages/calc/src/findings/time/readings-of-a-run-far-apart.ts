import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const readingsOfARunFarApart = defineFinding({
  id: 'readings-of-a-run-far-apart',
  group: 'time',
  severity: 'caution',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Flow, head and power of one run were read too far apart in time.',
  why: 'The duty drifts; flow of one moment and power of another don’t belong together.',
  needs: ['firstReadAt', 'lastReadAt'],
  limits: ['maxRunSpan'],
  raised: ({ firstReadAt, lastReadAt }, limits) => exceeds(lastReadAt - firstReadAt, limits.maxRunSpan),
  message: ({ firstReadAt, lastReadAt }, say, limits) =>
    `The readings of this run span ${say.time(lastReadAt - firstReadAt)}; at most ${say.time(limits.maxRunSpan)} is expected.`,
  remedy:
    'Repeat power, pressure and level close to the flow readings, as far as each can be read safely. A reading in a panel is for qualified staff only.',
  source: ourJudgement('a complete set with a traverse of two diameters takes 20 to 40 minutes'),
  examples: {
    passes: [
      { firstReadAt: 1000, lastReadAt: 4600 },
      { firstReadAt: 1000, lastReadAt: 1000 },
    ],
    raises: [{ firstReadAt: 1000, lastReadAt: 4660 }],
  },
})
