import { defineFinding, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const pumpRunTimeShort = defineFinding({
  id: 'pump-run-time-short',
  group: 'time',
  severity: 'caution',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'sheet',
  rule: 'The pump had run for less than the usual time when the pumping level was read.',
  why: 'The level may still be falling, so lift and drawdown come out too small and efficiency a little too low.',
  needs: ['settleTime'],
  limits: ['minSettle', 'minSettleHard'],
  raised: ({ settleTime }, limits) =>
    fallsShort(settleTime, limits.minSettle) && !fallsShort(settleTime, limits.minSettleHard),
  message: ({ settleTime }, say, limits) =>
    `The pump had run ${say.time(settleTime)} when the pumping level was read; at least ${say.time(limits.minSettle)} is usual.`,
  remedy: 'Let the pump run on and read again until two readings ten minutes apart agree.',
  cautions: ['well-and-contamination', 'well-head'],
  source: commonPractice(
    'at least 20 minutes of pumping before the level is read; 30 minutes where tests are compared',
  ),
  examples: {
    passes: [{ settleTime: 1200 }, { settleTime: 3600 }, { settleTime: 500 }],
    raises: [{ settleTime: 600 }, { settleTime: 1199 }],
  },
})
