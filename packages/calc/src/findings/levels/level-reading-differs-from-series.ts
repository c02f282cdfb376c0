import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const levelReadingDiffersFromSeries = defineFinding({
  id: 'level-reading-differs-from-series',
  group: 'levels',
  severity: 'hold',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'sheet',
  rule: 'The pumping level that counts is not the last of its own series.',
  why: 'The last reading of the series is the pumping level; another number in its place is a slip of the pen or of the tape.',
  needs: ['readingOffSeries'],
  limits: ['maxRepeatSpread'],
  raised: ({ readingOffSeries }, limits) => exceeds(readingOffSeries, limits.maxRepeatSpread),
  message: ({ readingOffSeries }, say) =>
    `The pumping level and the last level of its series differ by ${say.length(readingOffSeries)}; they are one reading.`,
  remedy: 'Look at both numbers, and read the level again if the pump still runs.',
  cautions: ['well-and-contamination', 'well-head'],
  source: commonPractice('the last reading of a series is the pumping level'),
  examples: {
    passes: [{ readingOffSeries: 0 }, { readingOffSeries: 0.15 * 0.3048 }],
    raises: [{ readingOffSeries: 3.05 }],
  },
})
