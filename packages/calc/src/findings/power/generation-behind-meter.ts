import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const generationBehindMeter = defineFinding({
  id: 'generation-behind-meter',
  group: 'power',
  severity: 'hold',
  place: '/runs/*/power/generationBehindMeter',
  decidedFrom: 'sheet',
  rule: 'A generator or panels feed in behind the meter that was timed.',
  why: 'The meter then shows less than the pump takes.',
  needs: ['diskMeter', 'generationBehindMeter'],
  limits: [],
  raised: ({ diskMeter, generationBehindMeter }) => diskMeter && generationBehindMeter,
  message: () =>
    'Generation behind the meter was reported; the meter shows only what the utility delivers, where all that the pump takes is expected.',
  remedy:
    'Have the source switched off by qualified staff, with its owner’s consent, while the meter is timed, or have the power of the pump measured at its panel by qualified staff.',
  source: commonPractice('a utility meter does not see power that is made behind it'),
  examples: {
    passes: [
      { diskMeter: true, generationBehindMeter: false },
      { diskMeter: false, generationBehindMeter: true },
    ],
    raises: [{ diskMeter: true, generationBehindMeter: true }],
  },
})
