import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const bowlEfficiencyAboveLimit = defineFinding({
  id: 'bowl-efficiency-above-limit',
  group: 'results',
  severity: 'hold',
  place: '/runs/*',
  decidedFrom: 'context',
  rule: 'The pump alone would need a higher efficiency than bowls reach, by more than its uncertainty.',
  why: 'The overall figure may look fair while the pump’s is not.',
  needs: ['pumpEfficiency', 'pumpEfficiencyU'],
  limits: ['maxPumpEfficiency'],
  raised: ({ pumpEfficiency, pumpEfficiencyU }, limits) =>
    exceeds(pumpEfficiency, limits.maxPumpEfficiency + 2 * pumpEfficiencyU),
  message: ({ pumpEfficiency }, say, limits) =>
    `The pump itself would be at ${say.percent(pumpEfficiency)}; none exceeds ${say.percent(limits.maxPumpEfficiency)}.`,
  remedy: 'Look at the motor’s data on record, and at the readings of flow and power.',
  source: ourJudgement('best bowls of this size reach 0.84 to 0.88 on the test bed'),
  examples: {
    passes: [
      { pumpEfficiency: 0.94, pumpEfficiencyU: 0.02 },
      { pumpEfficiency: 0.71, pumpEfficiencyU: 0.01 },
    ],
    raises: [{ pumpEfficiency: 0.95, pumpEfficiencyU: 0.02 }],
  },
})
