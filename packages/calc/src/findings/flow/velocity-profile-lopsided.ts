import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const velocityProfileLopsided = defineFinding({
  id: 'velocity-profile-lopsided',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/diameters',
  decidedFrom: 'sheet',
  rule: 'The mean velocities of the two halves of a diameter differ by more than the limit.',
  why: 'The flow comes out of a bend, or the tube does not point into it.',
  needs: ['profileAsymmetry'],
  limits: ['maxAsymmetry', 'maxAsymmetryHard'],
  raised: ({ profileAsymmetry }, limits) =>
    exceeds(profileAsymmetry, limits.maxAsymmetry) && !exceeds(profileAsymmetry, limits.maxAsymmetryHard),
  message: ({ profileAsymmetry }, say, limits) =>
    `The two halves of the profile differ by ${say.percent(profileAsymmetry)} of the mean; at most ${say.percent(limits.maxAsymmetry)} is expected.`,
  remedy:
    'Look at the alignment of the tube and at the positions, traverse the other diameter, or use another existing tapping. A new tapping is for people qualified to make one.',
  cautions: ['drilling-pressurised-pipe'],
  source: ourJudgement(
    'in a traverse the halves average out to first order; beyond ten percent swirl has to be suspected',
  ),
  examples: {
    passes: [{ profileAsymmetry: 0.1 }, { profileAsymmetry: 0.02 }, { profileAsymmetry: 0.3 }],
    raises: [{ profileAsymmetry: 0.101 }, { profileAsymmetry: 0.25 }],
  },
})
