import { defineFinding, exceeds } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const motorLoadAboveServiceFactor = defineFinding({
  id: 'motor-load-above-service-factor',
  group: 'power',
  severity: 'caution',
  place: '/runs/*/power',
  decidedFrom: 'context',
  rule: 'The motor delivers more than its rated power times its service factor.',
  why: 'The motor runs hot, or constant, multiplier or nameplate is not right.',
  needs: ['ratedPower', 'serviceFactor', 'motorShaftPower'],
  limits: ['loadMargin', 'impossibleLoad'],
  raised: ({ ratedPower, serviceFactor, motorShaftPower }, limits) =>
    exceeds(motorShaftPower, limits.loadMargin * serviceFactor * ratedPower) &&
    !exceeds(motorShaftPower, limits.impossibleLoad * ratedPower),
  message: ({ ratedPower, serviceFactor, motorShaftPower }, say) =>
    `The readings make the motor deliver ${say.power(motorShaftPower)}; its plate allows ${say.power(ratedPower)} times a service factor of ${say.number(serviceFactor)}.`,
  remedy:
    'Compare multiplier, constant and nameplate with the record first. If they are right, tell the grower that the motor is overloaded and that qualified staff should look at it soon.',
  cautions: ['electrical-panel', 'lock-out'],
  source: fromMemory(
    'NEMA MG 1 (2021)',
    '1.42 and 14.37, service factor; 1.15 for a general-purpose motor whose plate says nothing',
  ),
  examples: {
    passes: [
      { ratedPower: 100e3, serviceFactor: 1.15, motorShaftPower: 118_450 },
      { ratedPower: 100e3, serviceFactor: 1, motorShaftPower: 92e3 },
      { ratedPower: 100e3, serviceFactor: 1, motorShaftPower: 170e3 },
    ],
    raises: [
      { ratedPower: 100e3, serviceFactor: 1.15, motorShaftPower: 119e3 },
      { ratedPower: 100e3, serviceFactor: 1, motorShaftPower: 160e3 },
    ],
  },
})
