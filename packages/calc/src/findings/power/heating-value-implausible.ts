import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const heatingValueImplausible = defineFinding({
  id: 'heating-value-implausible',
  group: 'power',
  severity: 'hold',
  place: '/runs/*/power/heatingValue',
  decidedFrom: 'sheet',
  rule: 'The heating value given is far from the usual one of the fuel.',
  why: 'Lower and higher value were exchanged, or the unit is wrong.',
  needs: ['heatingValue', 'usualHeatingValue', 'fuel'],
  limits: ['maxHeatingDifference'],
  raised: ({ heatingValue, usualHeatingValue }, limits) =>
    exceeds(Math.abs(heatingValue / usualHeatingValue - 1), limits.maxHeatingDifference),
  message: ({ heatingValue, usualHeatingValue, fuel }, say) =>
    `A heating value of ${say.number(heatingValue / 1e6)} MJ/m3 was given; about ${say.number(usualHeatingValue / 1e6)} MJ/m3 is usual for ${fuel}.`,
  remedy: 'Look at the unit on the supplier’s statement, and whether it is the higher heating value.',
  source: ourJudgement('natural gas of different fields spans about 10 percent; lower and higher value differ by 10'),
  examples: {
    passes: [
      { heatingValue: 38.6e6, usualHeatingValue: 38.6e6, fuel: 'natural gas' },
      { heatingValue: 1.12 * 38.6e6, usualHeatingValue: 38.6e6, fuel: 'natural gas' },
      { heatingValue: 0.9 * 38.6e6, usualHeatingValue: 38.6e6, fuel: 'natural gas' },
    ],
    raises: [
      { heatingValue: 1.13 * 38.6e6, usualHeatingValue: 38.6e6, fuel: 'natural gas' },
      { heatingValue: 0.87 * 38.6e6, usualHeatingValue: 38.6e6, fuel: 'natural gas' },
    ],
  },
})
