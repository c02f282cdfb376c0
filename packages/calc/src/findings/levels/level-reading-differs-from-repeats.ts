import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const levelReadingDiffersFromRepeats = defineFinding({
  id: 'level-reading-differs-from-repeats',
  group: 'levels',
  severity: 'hold',
  place: '/standingLevel',
  decidedFrom: 'sheet',
  rule: 'The standing level that counts lies away from all its own repeats.',
  why: 'Repeats of one level lie about it; a number far from all of them is a slip.',
  needs: ['readingOffRepeats'],
  limits: ['maxRepeatSpread'],
  raised: ({ readingOffRepeats }, limits) => exceeds(readingOffRepeats, limits.maxRepeatSpread),
  message: ({ readingOffRepeats }, say) =>
    `The standing level lies ${say.length(readingOffRepeats)} away from the nearest of its repeats; they are readings of one level.`,
  remedy: 'Look at the numbers, and read the level again once the well has rested.',
  cautions: ['well-and-contamination', 'well-head'],
  source: commonPractice('repeats of a level agree'),
  examples: {
    passes: [{ readingOffRepeats: 0 }, { readingOffRepeats: 0.15 * 0.3048 }],
    raises: [{ readingOffRepeats: 3.05 }],
  },
})
