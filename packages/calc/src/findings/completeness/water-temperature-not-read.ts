import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const waterTemperatureNotRead = defineFinding({
  id: 'water-temperature-not-read',
  group: 'completeness',
  severity: 'note',
  place: '/runs/*/waterTemperature',
  decidedFrom: 'sheet',
  promisedBy: ['full'],
  rule: 'The temperature of the water was not read.',
  why: 'Density follows temperature, but moves head and power by some tenths of a percent at most.',
  needs: [],
  limits: [],
  raised: ({ waterTemperature }) => waterTemperature === undefined,
  message: () =>
    'The water temperature was not read; the edition’s usual one was used, with an uncertainty that covers water in use.',
  remedy:
    'Nothing is needed. A thermometer in a vessel of the water, filled away from jets and moving parts, closes the gap.',
  cautions: ['place-for-the-water'],
  source: ourJudgement('density at 5 and at 30 °C differs from that at 15 °C by 0.1 and 0.35 percent'),
  absenceOf: 'water-temperature',
  examples: {
    passes: [{ waterTemperature: 18 }, { waterTemperature: 0 }],
    raises: [{}],
  },
})
