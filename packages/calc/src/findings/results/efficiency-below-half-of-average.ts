import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const efficiencyBelowHalfOfAverage = defineFinding({
  id: 'efficiency-below-half-of-average',
  group: 'results',
  severity: 'caution',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Overall plant efficiency is low enough to ask for a second look.',
  why: 'A repair is likely to pay, or a reading is off.',
  needs: ['electric', 'overallPlantEfficiency'],
  limits: ['minEfficiencyElectric', 'lowEfficiency'],
  raised: ({ electric, overallPlantEfficiency }, limits) =>
    electric &&
    fallsShort(overallPlantEfficiency, limits.lowEfficiency) &&
    !fallsShort(overallPlantEfficiency, limits.minEfficiencyElectric),
  message: ({ overallPlantEfficiency }, say, limits) =>
    `The readings give an overall plant efficiency of ${say.percent(overallPlantEfficiency)}; ${say.percent(limits.lowEfficiency)} or more is common with an electric motor.`,
  remedy:
    'Before you leave, repeat the reading with the largest share of the uncertainty: it stands first in the advice. A reading in a panel is for qualified staff only.',
  source: ourJudgement(
    'about 0.6 of the averages of 0.45 to 0.55 that are reported (Colorado State University Extension, fact sheet 4.712, 2011)',
  ),
  examples: {
    passes: [
      { electric: true, overallPlantEfficiency: 0.3 },
      { electric: true, overallPlantEfficiency: 0.19 },
      { electric: false, overallPlantEfficiency: 0.25 },
    ],
    raises: [
      { electric: true, overallPlantEfficiency: 0.2 },
      { electric: true, overallPlantEfficiency: 0.29 },
    ],
  },
})
