import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const gaugeBeyondItsScale = defineFinding({
  id: 'gauge-beyond-its-scale',
  group: 'pressure',
  severity: 'reject',
  place: '/runs/*/dischargePressure/reading',
  decidedFrom: 'context',
  rule: 'A pressure is higher than the end of the scale of its gauge.',
  why: 'A gauge does not show what lies beyond its scale.',
  needs: ['dischargePressure', 'gaugeFullScale'],
  limits: [],
  raised: ({ dischargePressure, gaugeFullScale }) => exceeds(dischargePressure, gaugeFullScale),
  message: ({ dischargePressure, gaugeFullScale }, say) =>
    `${say.pressure(dischargePressure)} was read on a gauge that ends at ${say.pressure(gaugeFullScale)}.`,
  remedy:
    'Look at the unit and at the instrument that is named. If both are right, retire this gauge and have one fitted whose scale reaches beyond the pressure, with the tap closed and vented.',
  cautions: ['pressure-and-hammer', 'chemigation'],
  source: commonPractice('plain logic'),
  spoils: ['gauge-head'],
  examples: {
    passes: [
      { dischargePressure: 689_476, gaugeFullScale: 689_476 },
      { dischargePressure: 280e3, gaugeFullScale: 689_476 },
    ],
    raises: [{ dischargePressure: 700e3, gaugeFullScale: 689_476 }],
  },
})
