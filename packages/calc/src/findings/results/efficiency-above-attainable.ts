import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const efficiencyAboveAttainable = defineFinding({
  id: 'efficiency-above-attainable',
  group: 'results',
  severity: 'hold',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Overall plant efficiency is higher than good motors and pumps reach together.',
  why: 'A misreading of flow or power is nearly always the reason.',
  needs: ['electric', 'overallPlantEfficiency'],
  limits: ['maxEfficiency'],
  raised: ({ electric, overallPlantEfficiency }, limits) =>
    electric && exceeds(overallPlantEfficiency, limits.maxEfficiency) && !exceeds(overallPlantEfficiency, 1),
  message: ({ overallPlantEfficiency }, say, limits) =>
    `The readings give an overall plant efficiency of ${say.percent(overallPlantEfficiency)}; even new plants stay below ${say.percent(limits.maxEfficiency)}.`,
  remedy: 'Look at the multiplier, the diameter, the zero of the manometer and the levels.',
  source: ourJudgement(
    'motors of 0.96 and bowls of 0.88 give 0.84 before any other loss; 0.72 to 0.77 is attainable (Colorado State University Extension, fact sheet 4.712, 2011)',
  ),
  examples: {
    passes: [
      { electric: true, overallPlantEfficiency: 0.85 },
      { electric: true, overallPlantEfficiency: 0.62 },
      { electric: true, overallPlantEfficiency: 1.2 },
      { electric: false, overallPlantEfficiency: 0.9 },
    ],
    raises: [
      { electric: true, overallPlantEfficiency: 0.86 },
      { electric: true, overallPlantEfficiency: 1 },
    ],
  },
})
