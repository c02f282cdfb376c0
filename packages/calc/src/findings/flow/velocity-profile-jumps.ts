import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const velocityProfileJumps = defineFinding({
  id: 'velocity-profile-jumps',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/diameters',
  decidedFrom: 'sheet',
  rule: 'A point lies far from a smooth profile through the points of its diameter.',
  why: 'A single point was misread, or the tube had turned.',
  needs: ['profileResidual', 'pointOffProfile', 'diameterOffProfile'],
  limits: ['maxProfileResidual'],
  raised: ({ profileResidual }, limits) => exceeds(profileResidual, limits.maxProfileResidual),
  message: ({ profileResidual, pointOffProfile, diameterOffProfile }, say, limits) =>
    `Point ${pointOffProfile} of diameter ${diameterOffProfile} lies ${say.percent(profileResidual)} of the mean velocity from a smooth profile; at most ${say.percent(limits.maxProfileResidual)} is expected.`,
  remedy: 'Read this point again, with its neighbours.',
  cautions: ['drilling-pressurised-pipe'],
  source: ourJudgement(
    'residual from a quadratic in the logarithm of the wall distance; ten percent of the mean is about four times honest scatter',
  ),
  examples: {
    passes: [{ profileResidual: 0.1, pointOffProfile: 3, diameterOffProfile: 1 }],
    raises: [{ profileResidual: 0.101, pointOffProfile: 3, diameterOffProfile: 1 }],
  },
})
