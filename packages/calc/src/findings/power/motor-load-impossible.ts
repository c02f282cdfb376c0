import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const motorLoadImpossible = defineFinding({
  id: 'motor-load-impossible',
  group: 'power',
  severity: 'hold',
  place: '/runs/*/power',
  decidedFrom: 'context',
  rule: 'The readings make the motor deliver more than a motor of its size bears.',
  why: 'Its protection would have tripped, so multiplier, constant or nameplate is not right.',
  needs: ['ratedPower', 'motorShaftPower'],
  limits: ['impossibleLoad'],
  raised: ({ ratedPower, motorShaftPower }, limits) => exceeds(motorShaftPower, limits.impossibleLoad * ratedPower),
  message: ({ ratedPower, motorShaftPower }, say, limits) =>
    `The readings would load a motor of ${say.power(ratedPower)} to ${say.percent(motorShaftPower / ratedPower)}; protection trips well before ${say.percent(limits.impossibleLoad)}.`,
  remedy: 'Compare constant, multiplier and nameplate with the face of the meter, the utility’s card and the record.',
  source: ourJudgement(
    'overload protection trips near 1.15 to 1.25 times rated current; 1.6 leaves room for an old plate',
  ),
  silences: ['motor-load-above-service-factor'],
  examples: {
    passes: [
      { ratedPower: 100e3, motorShaftPower: 160e3 },
      { ratedPower: 100e3, motorShaftPower: 92e3 },
    ],
    raises: [{ ratedPower: 100e3, motorShaftPower: 161e3 }],
  },
})
