import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const pumpRunTimeFarTooShort = defineFinding({
  id: 'pump-run-time-far-too-short',
  group: 'time',
  severity: 'hold',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'sheet',
  rule: 'The pump had run for less than half of the usual time when the pumping level was read.',
  why: 'In the first minutes drawdown grows by feet; the result describes a start, not the operation.',
  needs: ['settleTime'],
  limits: ['minSettle', 'minSettleHard'],
  // Where a rule set asks for less than the hard limit, less is enough.
  // A level read before the start is no short run: it is readings-out-of-order.
  raised: ({ settleTime }, limits) =>
    settleTime >= 0 && fallsShort(settleTime, Math.min(limits.minSettleHard, limits.minSettle)),
  message: ({ settleTime }, say, limits) =>
    `The pump had run only ${say.time(settleTime)} when the pumping level was read; at least ${say.time(limits.minSettle)} is expected.`,
  remedy:
    'Read level, pressure, flow and power again once the pump has run steadily for the time expected. A reading in a panel is for qualified staff only.',
  cautions: ['well-and-contamination', 'well-head'],
  source: ourJudgement(
    'half of the usual 20 minutes: drawdown grows with the logarithm of time, most of it in the first ten minutes',
  ),
  silences: ['pump-run-time-short'],
  examples: {
    passes: [{ settleTime: 600 }, { settleTime: 1200 }, { settleTime: -60 }],
    raises: [{ settleTime: 599 }, { settleTime: 0 }],
  },
})
