import { defineFinding, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const energyBelowPhysicalLimit = defineFinding({
  id: 'energy-below-physical-limit',
  group: 'results',
  severity: 'reject',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Energy per volume is less than lifting the water takes.',
  why: 'The same as an efficiency above one, told in the quantity that appears on a bill.',
  needs: ['energyPerVolume', 'leastEnergyPerVolume'],
  limits: [],
  raised: ({ energyPerVolume, leastEnergyPerVolume }) => fallsShort(energyPerVolume, leastEnergyPerVolume),
  message: ({ energyPerVolume, leastEnergyPerVolume }, say) =>
    `The energy used for each volume of water is ${say.percent(energyPerVolume / leastEnergyPerVolume)} of what raising it by the total dynamic head takes at least.`,
  remedy: 'Look at multiplier and constant of the meter, then at the unit and the diameter behind the flow.',
  source: commonPractice('raising an acre-foot of water by a foot takes at least 1.0241 kWh'),
  spoils: [
    'overall-plant-efficiency',
    'overall-plant-efficiency-on-field-head',
    'energy-per-volume',
    'energy-per-volume-and-head',
    'water-work-per-energy',
    'cost-per-volume',
  ],
  examples: {
    passes: [
      { energyPerVolume: 600e3, leastEnergyPerVolume: 600e3 },
      { energyPerVolume: 970e3, leastEnergyPerVolume: 600e3 },
    ],
    raises: [{ energyPerVolume: 590e3, leastEnergyPerVolume: 600e3 }],
  },
})
