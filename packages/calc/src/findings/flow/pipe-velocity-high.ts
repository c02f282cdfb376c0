import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const pipeVelocityHigh = defineFinding({
  id: 'pipe-velocity-high',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow',
  decidedFrom: 'sheet',
  rule: 'The mean velocity in the pipe is unusually high.',
  why: 'Discharge pipes are laid for 5 to 10 ft/s; a diameter that is off is the usual reason.',
  needs: ['meanVelocity'],
  limits: ['highVelocity', 'impossibleVelocity'],
  raised: ({ meanVelocity }, limits) =>
    exceeds(meanVelocity, limits.highVelocity) && !exceeds(meanVelocity, limits.impossibleVelocity),
  message: ({ meanVelocity }, say, limits) =>
    `The mean velocity in the pipe is ${say.velocity(meanVelocity)}; up to ${say.velocity(limits.highVelocity)} is usual.`,
  remedy: 'Look at the diameter and its unit, and at the unit of the columns.',
  source: ourJudgement('friction and water hammer limit design velocities to about 5 to 10 ft/s'),
  examples: {
    passes: [{ meanVelocity: 4.572 }, { meanVelocity: 1.6 }, { meanVelocity: 11 }],
    raises: [{ meanVelocity: 4.6 }, { meanVelocity: 10.668 }],
  },
})
