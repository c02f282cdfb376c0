import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const meterTimingSpreadVeryWide = defineFinding({
  id: 'meter-timing-spread-very-wide',
  group: 'power',
  severity: 'hold',
  place: '/runs/*/power',
  decidedFrom: 'sheet',
  rule: 'The repeated powers differ by more than the upper limit.',
  why: 'One repeat is off, or the load isn’t steady.',
  needs: ['timingSpread'],
  limits: ['maxSpreadHard'],
  raised: ({ timingSpread }, limits) => exceeds(timingSpread, limits.maxSpreadHard),
  message: ({ timingSpread }, say, limits) =>
    `The repeated powers differ by ${say.percent(timingSpread)}; beyond ${say.percent(limits.maxSpreadHard)} their mean says little.`,
  remedy:
    'Read the meter again, from outside, in the same run. A slip in a count shows itself: it is off by a whole one.',
  cautions: ['electrical-panel'],
  source: ourJudgement('several times what reaction time explains'),
  silences: ['meter-timing-spread-wide'],
  examples: {
    passes: [{ timingSpread: 0.05 }, { timingSpread: 0.006 }],
    raises: [{ timingSpread: 0.051 }, { timingSpread: 0.1 }],
  },
})
