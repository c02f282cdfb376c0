import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const meterTimingSpreadWide = defineFinding({
  id: 'meter-timing-spread-wide',
  group: 'power',
  severity: 'caution',
  place: '/runs/*/power',
  decidedFrom: 'sheet',
  rule: 'The repeated powers differ by more than the usual limit.',
  why: 'The load moves, or a repeat is off.',
  needs: ['timingSpread'],
  limits: ['maxSpread', 'maxSpreadHard'],
  raised: ({ timingSpread }, limits) =>
    exceeds(timingSpread, limits.maxSpread) && !exceeds(timingSpread, limits.maxSpreadHard),
  message: ({ timingSpread }, say, limits) =>
    `The repeated powers differ by ${say.percent(timingSpread)}; at most ${say.percent(limits.maxSpread)} is expected.`,
  remedy: 'Read the meter again, from outside, until three repeats agree.',
  cautions: ['electrical-panel'],
  source: ourJudgement('reaction time explains about one percent of 30 s'),
  examples: {
    passes: [{ timingSpread: 0.02 }, { timingSpread: 0.006 }, { timingSpread: 0.06 }],
    raises: [{ timingSpread: 0.021 }, { timingSpread: 0.05 }],
  },
})
