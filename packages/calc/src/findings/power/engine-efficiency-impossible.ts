import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const engineEfficiencyImpossible = defineFinding({
  id: 'engine-efficiency-impossible',
  group: 'power',
  severity: 'reject',
  place: '/runs/*/power',
  decidedFrom: 'sheet',
  rule: 'The engine would have to turn more of the heat of its fuel into shaft power than engines can.',
  why: 'Fuel is under-read, or flow over-read.',
  needs: ['fuel', 'waterPower', 'inputPower'],
  limits: ['maxEngineEfficiency', 'maxPumpOnEngine'],
  raised: ({ waterPower, inputPower }, limits) =>
    exceeds(waterPower / (inputPower * limits.maxPumpOnEngine), limits.maxEngineEfficiency) &&
    !exceeds(waterPower, inputPower),
  message: ({ fuel, waterPower, inputPower }, say, limits) =>
    `Water power of ${say.power(waterPower)} from ${say.power(inputPower)} of ${fuel} needs an engine of ${say.percent(waterPower / (inputPower * limits.maxPumpOnEngine))} even behind the best pump; none exceeds ${say.percent(limits.maxEngineEfficiency)}.`,
  remedy: 'Look at the amount of fuel, its unit, the time, and the readings of flow.',
  source: ourJudgement(
    'large diesel engines reach 0.42 to 0.45 on the lower heating value, less on the higher; pump and gear at most 0.82',
  ),
  // Which of the two powers is off is not known, so neither is reported, nor what follows from them.
  spoils: [
    'water-power',
    'input-power',
    'overall-plant-efficiency',
    'overall-plant-efficiency-on-field-head',
    'fuel-rate',
    'gas-rate',
    'fuel-per-volume',
    'gas-per-volume',
    'water-work-per-fuel',
    'water-work-per-gas',
    'cost-per-volume',
  ],
  examples: {
    passes: [
      { fuel: 'diesel', waterPower: 0.45 * 0.82 * 100e3, inputPower: 100e3 },
      { fuel: 'diesel', waterPower: 45e3, inputPower: 223e3 },
    ],
    raises: [{ fuel: 'diesel', waterPower: 38e3, inputPower: 100e3 }],
  },
})
