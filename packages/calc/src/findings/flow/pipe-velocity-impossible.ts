import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const pipeVelocityImpossible = defineFinding({
  id: 'pipe-velocity-impossible',
  group: 'flow',
  severity: 'reject',
  place: '/runs/*/flow',
  decidedFrom: 'sheet',
  rule: 'The mean velocity is beyond what the pipe of a pumping plant carries.',
  why: 'The velocity head alone would be 19 ft.',
  needs: ['meanVelocity'],
  limits: ['impossibleVelocity'],
  raised: ({ meanVelocity }, limits) => exceeds(meanVelocity, limits.impossibleVelocity),
  message: ({ meanVelocity, flow, pipeDiameter }, say, limits) => {
    const read =
      flow === undefined || pipeDiameter === undefined
        ? `The mean velocity in the pipe is ${say.velocity(meanVelocity)}`
        : `${say.flow(flow)} in a pipe of ${say.shortLength(pipeDiameter)} needs ${say.velocity(meanVelocity)}`
    return `${read}; no plant’s pipe carries more than ${say.velocity(limits.impossibleVelocity)}.`
  },
  remedy: 'Look at the diameter and its unit, and at the unit of the columns, and submit the sheet with the true ones.',
  source: ourJudgement('more than three times the highest usual design velocity'),
  spoils: ['flow'],
  silences: ['pipe-velocity-high'],
  examples: {
    passes: [{ meanVelocity: 10.668 }, { meanVelocity: 1.6 }],
    raises: [{ meanVelocity: 10.7 }, { meanVelocity: 40, flow: 0.07, pipeDiameter: 0.05 }],
  },
})
