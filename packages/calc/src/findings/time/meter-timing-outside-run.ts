import { defineFinding } from '../finding.ts'
import { lateness } from '../lateness.ts'
import { commonPractice } from '../sources.ts'

export const meterTimingOutsideRun = defineFinding({
  id: 'meter-timing-outside-run',
  group: 'time',
  severity: 'hold',
  place: '/runs/*/power/timings',
  decidedFrom: 'sheet',
  rule: 'The meter was timed before the readings of the run began or after they ended.',
  why: 'The power is then not that of the run.',
  needs: ['firstTimingAt', 'lastTimingAt'],
  limits: [],
  raised: ({ firstTimingAt, lastTimingAt, runStartedAt, runEndedAt }) =>
    lateness(runStartedAt, firstTimingAt) > 0 || lateness(lastTimingAt, runEndedAt) > 0,
  message: ({ firstTimingAt, lastTimingAt, runStartedAt, runEndedAt }, say) => {
    const early = lateness(runStartedAt, firstTimingAt)
    return early > 0
      ? `The meter was timed ${say.time(early)} before the readings of this run began; power, flow and head are read together.`
      : `The meter was timed ${say.time(lateness(lastTimingAt, runEndedAt))} after the readings of this run ended; power, flow and head are read together.`
  },
  remedy:
    'Time the meter again while flow and head are being read; if a time was noted wrongly, submit the sheet with the true one.',
  cautions: ['electrical-panel'],
  source: commonPractice('power, flow and head are read at the same time'),
  examples: {
    passes: [
      { firstTimingAt: 1000, lastTimingAt: 2000, runStartedAt: 1000, runEndedAt: 2000 },
      { firstTimingAt: 1000, lastTimingAt: 2000 },
    ],
    raises: [
      { firstTimingAt: 900, lastTimingAt: 2000, runStartedAt: 1000, runEndedAt: 2000 },
      { firstTimingAt: 1000, lastTimingAt: 2100, runEndedAt: 2000 },
    ],
  },
})
