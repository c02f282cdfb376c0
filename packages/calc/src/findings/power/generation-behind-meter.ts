import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const generationBehindMeter = defineFinding({
  id: 'generation-behind-meter',
  group: 'power',
  severity: 'hold',
  place: '/runs/*/power/generationBehindMeter',
  decidedFrom: 'sheet',
  rule: 'A generator or panels feed in behind the meter that was read.',
  why: 'The meter then shows less than the pump takes.',
  needs: ['utilityMeter', 'generationBehindMeter'],
  limits: [],
  raised: ({ utilityMeter, generationBehindMeter }) => utilityMeter && generationBehindMeter,
  message: () =>
    'Generation behind the meter was reported; the meter shows only what the utility delivers, where all that the pump takes is expected.',
  remedy:
    'Have the source switched off by qualified staff, with its owner’s consent, while the meter is read, or have the power of the pump measured at its panel by qualified staff.',
  cautions: ['electrical-panel', 'arc-flash', 'alone'],
  source: commonPractice('a utility meter does not see power that is made behind it'),
  examples: {
    passes: [
      { utilityMeter: true, generationBehindMeter: false },
      { utilityMeter: false, generationBehindMeter: true },
    ],
    raises: [{ utilityMeter: true, generationBehindMeter: true }],
  },
})
