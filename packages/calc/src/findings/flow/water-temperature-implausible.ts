import { defineFinding, exceeds, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const waterTemperatureImplausible = defineFinding({
  id: 'water-temperature-implausible',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/waterTemperature',
  decidedFrom: 'sheet',
  rule: 'The water temperature lies outside what ground and surface water in use has.',
  why: 'Density follows from it; a mistaken unit moves head and power by several percent.',
  needs: ['waterTemperature'],
  limits: ['lowestWaterTemperature', 'highestWaterTemperature'],
  raised: ({ waterTemperature }, limits) =>
    fallsShort(waterTemperature, limits.lowestWaterTemperature) ||
    exceeds(waterTemperature, limits.highestWaterTemperature),
  message: ({ waterTemperature }, say, limits) =>
    `The water temperature is given as ${say.number(waterTemperature)} degrees C; between ${say.number(limits.lowestWaterTemperature)} and ${say.number(limits.highestWaterTemperature)} is expected.`,
  remedy: 'Look at the unit of the thermometer and at the number; leave it out if it was not read.',
  source: ourJudgement('irrigation water is liquid and rarely warmer than 45 degrees C'),
  examples: {
    passes: [{ waterTemperature: 17.8 }, { waterTemperature: -1 }, { waterTemperature: 45 }],
    raises: [{ waterTemperature: -1.5 }, { waterTemperature: 64 }, { waterTemperature: 337.8 }],
  },
})
