import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const traversePositionOff = defineFinding({
  id: 'traverse-position-off',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/diameters',
  decidedFrom: 'sheet',
  rule: 'A stated position of the tube differs from the method’s by more than the tolerance.',
  why: 'Near the wall the velocity changes fast.',
  needs: ['largestPositionError', 'pipeDiameter'],
  limits: ['maxPositionShare', 'maxPosition'],
  raised: ({ largestPositionError, pipeDiameter }, limits) =>
    exceeds(largestPositionError, Math.max(limits.maxPositionShare * pipeDiameter, limits.maxPosition)),
  message: ({ largestPositionError, pipeDiameter }, say, limits) =>
    `A point was read ${say.shortLength(largestPositionError)} from where the method wants it; within ${say.shortLength(Math.max(limits.maxPositionShare * pipeDiameter, limits.maxPosition))} is expected.`,
  remedy: 'Compare the positions with the notes, and read the points again where they are off.',
  cautions: ['drilling-pressurised-pipe'],
  source: ourJudgement('half a percent of the diameter, and never less than a millimetre, can be set by hand'),
  examples: {
    passes: [
      { largestPositionError: 0.00125, pipeDiameter: 0.25 },
      { largestPositionError: 0.001, pipeDiameter: 0.15 },
      { largestPositionError: 0, pipeDiameter: 0.25 },
    ],
    raises: [
      { largestPositionError: 0.0013, pipeDiameter: 0.25 },
      { largestPositionError: 0.0011, pipeDiameter: 0.15 },
    ],
  },
})
