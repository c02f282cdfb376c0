import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const efficiencyUnusuallyLow = defineFinding({
  id: 'efficiency-unusually-low',
  group: 'results',
  severity: 'hold',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Overall plant efficiency is lower than that of a plant anyone would run.',
  why: 'True of some plants, but a factor or a unit is the more common reason.',
  needs: ['electric', 'overallPlantEfficiency'],
  limits: ['minEfficiencyElectric'],
  raised: ({ electric, overallPlantEfficiency }, limits) =>
    electric && fallsShort(overallPlantEfficiency, limits.minEfficiencyElectric),
  message: ({ overallPlantEfficiency }, say, limits) =>
    `The readings give an overall plant efficiency of ${say.percent(overallPlantEfficiency)}; less than ${say.percent(limits.minEfficiencyElectric)} is unusual with an electric motor.`,
  remedy:
    'Look at the multiplier, other loads on the meter, the unit of the flow readings, and whether valves stood as usual.',
  source: ourJudgement(
    'averages of 0.45 to 0.55 are reported (Colorado State University Extension, fact sheet 4.712, 2011); less than half of that is an outlier',
  ),
  silences: ['efficiency-below-half-of-average'],
  examples: {
    passes: [
      { electric: true, overallPlantEfficiency: 0.2 },
      { electric: true, overallPlantEfficiency: 0.62 },
      { electric: false, overallPlantEfficiency: 0.15 },
    ],
    raises: [{ electric: true, overallPlantEfficiency: 0.19 }],
  },
})
