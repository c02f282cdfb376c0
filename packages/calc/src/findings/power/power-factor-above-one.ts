import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const powerFactorAboveOne = defineFinding({
  id: 'power-factor-above-one',
  group: 'power',
  severity: 'reject',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'The power factor is above 1 or not positive.',
  why: 'A power factor lies between 0 and 1.',
  needs: ['powerFactor'],
  limits: [],
  raised: ({ powerFactor }) => powerFactor <= 0 || exceeds(powerFactor, 1),
  message: ({ powerFactor }, say) => `A power factor of ${say.number(powerFactor)} was read; it lies between 0 and 1.`,
  remedy: 'Percent is written with its sign, as 87 %, or as 0.87; otherwise have it read again by qualified staff.',
  cautions: ['electrical-panel', 'arc-flash', 'alone'],
  source: commonPractice('power is at most volts times amperes'),
  spoils: ['panel-power'],
  silences: ['meter-and-panel-disagree'],
  examples: {
    passes: [{ powerFactor: 0.85 }, { powerFactor: 1 }],
    raises: [{ powerFactor: 87 }, { powerFactor: 0 }],
  },
})
