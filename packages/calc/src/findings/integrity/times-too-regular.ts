import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

/** Six times all on full five minutes have a chance of 1 in 15,000 if they were written to the minute. */
const TIMES_TO_TELL = 6

export const timesTooRegular = defineFinding({
  id: 'times-too-regular',
  group: 'integrity',
  severity: 'note',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'The readings of a run, level series apart, are all timed on full five minutes, or at equal distances to the second.',
  why: 'Times that were written afterwards take their force from the checks of sequence.',
  needs: ['readTimeCount', 'readTimePattern'],
  limits: [],
  raised: ({ readTimeCount, readTimePattern }) => readTimePattern !== '' && readTimeCount >= TIMES_TO_TELL,
  message: ({ readTimeCount, readTimePattern }) => `All ${readTimeCount} times of the run are ${readTimePattern}.`,
  remedy: 'Let the device stamp the time of each reading.',
  source: ourJudgement('chance of 1 in 5 for each time that is written to the minute'),
  examples: {
    passes: [
      { readTimeCount: 5, readTimePattern: 'on full five minutes' },
      { readTimeCount: 9, readTimePattern: '' },
    ],
    raises: [
      { readTimeCount: 6, readTimePattern: 'on full five minutes' },
      { readTimeCount: 7, readTimePattern: 'equally spaced, to the second' },
    ],
  },
})
