import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

/** Two repeats that differ don’t tell which of them is off. */
const REPEATS_TO_TELL = 3

export const ultrasonicReadingsUnsteady = defineFinding({
  id: 'ultrasonic-readings-unsteady',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow',
  decidedFrom: 'sheet',
  rule: 'Repeated rates or velocities of a meter spread by more than the limit.',
  why: 'The flow moves, or the signal is poor.',
  needs: ['rateCount', 'rateSpread'],
  limits: ['maxRateSpread'],
  raised: ({ rateCount, rateSpread }, limits) =>
    rateCount >= REPEATS_TO_TELL && exceeds(rateSpread, limits.maxRateSpread),
  message: ({ rateSpread }, say, limits) =>
    `The repeats range over ${say.percent(rateSpread)}; at most ${say.percent(limits.maxRateSpread)} is expected.`,
  remedy: 'Average longer, and look for air or a moving valve.',
  source: ourJudgement('twice the usual uncertainty of the method'),
  examples: {
    passes: [
      { rateCount: 3, rateSpread: 0.04 },
      { rateCount: 2, rateSpread: 0.2 },
    ],
    raises: [{ rateCount: 3, rateSpread: 0.041 }],
  },
})
