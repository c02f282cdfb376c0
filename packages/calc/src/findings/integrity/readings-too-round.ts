import { counted } from '../counted.ts'
import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

/** From so many on, a share of 70 % has a chance below 1 in 100,000 where digits fall as they like. */
const READINGS_TO_TELL = 15

export const readingsTooRound = defineFinding({
  id: 'readings-too-round',
  group: 'integrity',
  severity: 'note',
  place: '/runs',
  decidedFrom: 'sheet',
  scope: 'visit',
  rule: 'Nearly all readings that scatter end in 0 or 5, although others of their group show finer steps.',
  why: 'Readings rounded by eye carry a larger random error than their digits promise.',
  needs: ['digitCount', 'roundShare'],
  limits: ['maxRoundShare'],
  raised: ({ digitCount, roundShare }, limits) =>
    digitCount >= READINGS_TO_TELL && exceeds(roundShare, limits.maxRoundShare),
  message: ({ digitCount, roundShare }, say) =>
    `${say.percent(roundShare)} of ${counted(digitCount, 'reading')} end in 0 or 5; about 20 % is expected.`,
  remedy: 'Write what the instrument shows, to its last step.',
  source: ourJudgement('binomial: 11 or more of 15 at a chance of 0.2 each is below 1 in 100,000'),
  examples: {
    passes: [
      { digitCount: 20, roundShare: 0.7 },
      { digitCount: 14, roundShare: 1 },
    ],
    raises: [
      { digitCount: 20, roundShare: 0.75 },
      { digitCount: 15, roundShare: 0.8 },
    ],
  },
})
