import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const gasVolumeNotAtBaseConditions = defineFinding({
  id: 'gas-volume-not-at-base-conditions',
  group: 'power',
  severity: 'hold',
  place: '/runs/*/power',
  decidedFrom: 'sheet',
  rule: 'Gas was read at the meter without pressure and temperature, and the meter is not said to correct by itself.',
  why: 'At 5 psi the same reading holds a third more gas.',
  needs: ['gasAtBase'],
  limits: [],
  raised: ({ gasAtBase }) => !gasAtBase,
  message: () =>
    'The gas volume has no pressure and temperature, so it can’t be brought to base conditions; input power is not reported.',
  remedy:
    'Take pressure and temperature from the gauges that stand at the meter, or state that its index corrects. Nothing of the gas line is opened for it.',
  cautions: ['fuel'],
  source: commonPractice('gas is sold at base conditions of pressure and temperature'),
  examples: { passes: [{ gasAtBase: true }], raises: [{ gasAtBase: false }] },
})
