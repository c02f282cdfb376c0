import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const meterMultiplierNotStated = defineFinding({
  id: 'meter-multiplier-not-stated',
  group: 'completeness',
  severity: 'hold',
  place: '/runs/*/power/multiplier',
  decidedFrom: 'sheet',
  promisedBy: ['full', 'flow-and-power'],
  rule: 'The multiplier of the meter was left out rather than stated, even if it is 1.',
  why: 'Current and voltage transformers scale the power; a forgotten factor is the commonest gross error in power.',
  needs: ['utilityMeter'],
  limits: [],
  raised: ({ utilityMeter, meterMultiplier }) => utilityMeter && meterMultiplier === undefined,
  message: () => 'No multiplier is stated for the meter. 1 was not assumed, so input power is not reported.',
  remedy:
    'Read the multiplier from the face of the meter or from the utility’s card or bill, and state it; state 1 if it is 1, or if the constant already contains it. Nothing behind a cover needs to be opened for this.',
  cautions: ['electrical-panel'],
  source: commonPractice('the utility states which multiplier a meter needs'),
  absenceOf: 'meter-multiplier',
  spoils: ['input-power'],
  examples: {
    passes: [{ utilityMeter: true, meterMultiplier: 1 }, { utilityMeter: false }],
    raises: [{ utilityMeter: true, meterConstant: 6480 }],
  },
})
