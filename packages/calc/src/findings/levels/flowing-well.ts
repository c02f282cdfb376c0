import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const flowingWell = defineFinding({
  id: 'flowing-well',
  group: 'levels',
  severity: 'note',
  place: '/standingLevel',
  decidedFrom: 'sheet',
  rule: 'The standing level is above the level datum.',
  why: 'Flowing wells are real but rare; a sign is more often the cause.',
  needs: ['standingLevel'],
  limits: [],
  raised: ({ standingLevel }) => standingLevel < 0,
  message: ({ standingLevel }, say) =>
    `The standing level is ${say.length(-standingLevel)} above the level datum, as in a flowing well; levels below the datum are positive.`,
  remedy:
    'Look at the sign. If the well flows by itself, have the shut-in pressure read by those who operate the well.',
  cautions: ['well-and-contamination', 'well-head'],
  source: ourJudgement('a negative depth is accepted, since flowing wells exist'),
  examples: {
    passes: [{ standingLevel: 0 }, { standingLevel: 36.1 }],
    raises: [{ standingLevel: -0.4 }],
  },
})
