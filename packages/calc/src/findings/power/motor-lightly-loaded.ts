import { defineFinding, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const motorLightlyLoaded = defineFinding({
  id: 'motor-lightly-loaded',
  group: 'power',
  severity: 'note',
  place: '/runs/*/power',
  decidedFrom: 'context',
  rule: 'The motor delivers a small share of its rated power.',
  why: 'Its efficiency falls there; a factor of the meter may also be missing.',
  needs: ['ratedPower', 'motorShaftPower'],
  limits: ['minLoad'],
  raised: ({ ratedPower, motorShaftPower }, limits) => fallsShort(motorShaftPower, limits.minLoad * ratedPower),
  message: ({ ratedPower, motorShaftPower }, say, limits) =>
    `The readings load the motor of ${say.power(ratedPower)} to ${say.percent(motorShaftPower / ratedPower)}; ${say.percent(limits.minLoad)} or more is usual.`,
  remedy: 'Read the multiplier again. If it is right, a smaller motor is worth a thought at the next replacement.',
  source: commonPractice('the efficiency of a motor is about flat from 50 to 100 percent load'),
  examples: {
    passes: [
      { ratedPower: 100e3, motorShaftPower: 40e3 },
      { ratedPower: 100e3, motorShaftPower: 92e3 },
    ],
    raises: [{ ratedPower: 100e3, motorShaftPower: 39e3 }],
  },
})
