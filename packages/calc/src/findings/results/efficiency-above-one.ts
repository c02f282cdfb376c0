import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const efficiencyAboveOne = defineFinding({
  id: 'efficiency-above-one',
  group: 'results',
  severity: 'reject',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Water power exceeds input power.',
  why: 'No plant gives more than it takes.',
  needs: ['overallPlantEfficiency'],
  limits: [],
  raised: ({ overallPlantEfficiency }) => exceeds(overallPlantEfficiency, 1),
  message: ({ overallPlantEfficiency }, say) =>
    `The readings give an overall plant efficiency of ${say.percent(overallPlantEfficiency)}; the water can’t take up more power than goes in.`,
  remedy:
    'Look at these, in this order: multiplier and constant of the meter, unit of the timings, unit of the flow readings, diameter, unit of pressure, levels.',
  source: commonPractice('conservation of energy'),
  // Which of the two powers is off is not known, so neither is reported, nor what follows from them.
  spoils: [
    'water-power',
    'input-power',
    'overall-plant-efficiency',
    'overall-plant-efficiency-on-field-head',
    'fuel-rate',
    'gas-rate',
    'energy-per-volume',
    'energy-per-volume-and-head',
    'water-work-per-energy',
    'cost-per-volume',
  ],
  silences: ['efficiency-above-attainable', 'energy-below-physical-limit'],
  examples: {
    passes: [{ overallPlantEfficiency: 1 }, { overallPlantEfficiency: 0.62 }],
    raises: [{ overallPlantEfficiency: 1.01 }],
  },
})
