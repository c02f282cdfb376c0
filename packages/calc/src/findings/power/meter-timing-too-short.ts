import { defineFinding, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const meterTimingTooShort = defineFinding({
  id: 'meter-timing-too-short',
  group: 'power',
  severity: 'caution',
  place: '/runs/*/power/timings',
  decidedFrom: 'sheet',
  rule: 'A timing of the meter lasted less than the limit.',
  why: 'Start and stop by hand are uncertain by 0.15 s, which is one percent of 15 s.',
  needs: ['shortestTiming'],
  limits: ['minTiming'],
  raised: ({ shortestTiming }, limits) => fallsShort(shortestTiming, limits.minTiming),
  message: ({ shortestTiming }, say, limits) =>
    `A timing lasted ${say.time(shortestTiming)}; about 30 s is usual, and ${say.time(limits.minTiming)} is the least.`,
  remedy: 'Time the meter again over more counts.',
  cautions: ['electrical-panel'],
  source: commonPractice(
    'timings of about 30 s; the least of 20 s is our judgement, since 0.15 s is 0.75 percent of it',
  ),
  examples: {
    passes: [{ shortestTiming: 20 }, { shortestTiming: 33.4 }],
    raises: [{ shortestTiming: 19.9 }],
  },
})
