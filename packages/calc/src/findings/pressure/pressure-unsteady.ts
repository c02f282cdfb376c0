import { defineFinding, exceeds } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const pressureUnsteady = defineFinding({
  id: 'pressure-unsteady',
  group: 'pressure',
  severity: 'caution',
  place: '/runs/*/dischargePressure/swing',
  decidedFrom: 'sheet',
  rule: 'The needle of the gauge swung by more than a share of the reading.',
  why: 'The middle of a swinging needle is a guess, and the plant may be drawing air.',
  needs: ['pressureSwing', 'dischargePressure'],
  limits: ['maxSwing'],
  raised: ({ pressureSwing, dischargePressure }, limits) =>
    dischargePressure > 0 && exceeds(pressureSwing, limits.maxSwing * dischargePressure),
  message: ({ pressureSwing, dischargePressure }, say, limits) =>
    `The pressure swung by ${say.pressure(pressureSwing)} around ${say.pressure(dischargePressure)}; at most ${say.percent(limits.maxSwing)} of it is expected.`,
  remedy:
    'Throttle the gauge cock slowly until the needle calms, never shut it, wait, and read the middle; look for air in the discharge.',
  cautions: ['pressure-and-hammer', 'chemigation'],
  source: fromMemory('ISO 9906:2012', 'permissible amplitude of fluctuations, grade 2'),
  examples: {
    passes: [
      { pressureSwing: 18e3, dischargePressure: 300e3 },
      { pressureSwing: 18e3, dischargePressure: 0 },
    ],
    raises: [{ pressureSwing: 19e3, dischargePressure: 300e3 }],
  },
})
