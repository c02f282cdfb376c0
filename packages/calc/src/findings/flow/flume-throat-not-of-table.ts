import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const flumeThroatNotOfTable = defineFinding({
  id: 'flume-throat-not-of-table',
  group: 'flow',
  severity: 'reject',
  place: '/runs/*/flow/throat',
  decidedFrom: 'sheet',
  rule: 'The table has no flume of that throat.',
  why: 'Each size was calibrated by itself; between two sizes nothing is known.',
  needs: ['flumeThroat', 'flumeSizeKnown'],
  limits: [],
  raised: ({ flumeSizeKnown }) => !flumeSizeKnown,
  message: ({ flumeThroat }, say) =>
    `No Parshall flume has a throat of ${say.length(flumeThroat)}; sizes go from 1 in to 50 ft.`,
  remedy: 'Measure the throat again, or measure flow by another method.',
  spoils: ['flow'],
  cautions: ['lifting-and-falls', 'alone'],
  source: ourJudgement('a throat within 2 percent of a size is taken for it'),
  examples: {
    passes: [{ flumeThroat: 0.3048, flumeSizeKnown: true }],
    raises: [{ flumeThroat: 0.37, flumeSizeKnown: false }],
  },
})
