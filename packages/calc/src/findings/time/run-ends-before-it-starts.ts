import { defineFinding } from '../finding.ts'
import { lateness } from '../lateness.ts'
import { commonPractice } from '../sources.ts'

export const runEndsBeforeItStarts = defineFinding({
  id: 'run-ends-before-it-starts',
  group: 'time',
  severity: 'hold',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'The readings of a run are said to end before they begin.',
  why: 'What else is judged by these two times can’t be trusted.',
  needs: ['runStartedAt', 'runEndedAt'],
  limits: [],
  raised: ({ runStartedAt, runEndedAt }) => runEndedAt < runStartedAt,
  message: ({ runStartedAt, runEndedAt }, say) =>
    `The run is said to end ${say.time(lateness(runStartedAt, runEndedAt))} before it starts.`,
  remedy: 'Look at both times; they may have been exchanged.',
  source: commonPractice('order of a visit'),
  silences: ['meter-timing-outside-run'],
  examples: {
    passes: [
      { runStartedAt: 0, runEndedAt: 0 },
      { runStartedAt: 0, runEndedAt: 1800 },
    ],
    raises: [{ runStartedAt: 1800, runEndedAt: 0 }],
  },
})
