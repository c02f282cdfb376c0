import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const flowNotAboveZero = defineFinding({
  id: 'flow-not-above-zero',
  group: 'flow',
  severity: 'reject',
  place: '/runs/*/flow',
  decidedFrom: 'sheet',
  rule: 'The flow is zero or negative.',
  why: 'A plant that pumps delivers water; a sign or a sensor is turned round.',
  needs: ['flow'],
  limits: [],
  raised: ({ flow }) => flow <= 0,
  message: ({ flow }, say) =>
    `The readings give a flow of ${say.flow(flow)}; a running plant is expected to deliver water.`,
  remedy: 'Look at the direction of the meter or its sensors, and measure again.',
  cautions: ['lock-out'],
  source: commonPractice('flow is counted in the direction of delivery'),
  spoils: ['flow'],
  examples: {
    passes: [{ flow: 0.06 }],
    raises: [{ flow: 0 }, { flow: -0.04 }],
  },
})
