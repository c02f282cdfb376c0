import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const velocityProfileVeryLopsided = defineFinding({
  id: 'velocity-profile-very-lopsided',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/flow/diameters',
  decidedFrom: 'sheet',
  rule: 'The two halves of a diameter differ so much that the mean over the pipe can’t be trusted.',
  why: 'Strong swirl or a reading that is off; the error of flow may exceed ten percent.',
  needs: ['profileAsymmetry'],
  limits: ['maxAsymmetryHard'],
  raised: ({ profileAsymmetry }, limits) => exceeds(profileAsymmetry, limits.maxAsymmetryHard),
  message: ({ profileAsymmetry }, say, limits) =>
    `The two halves of the profile differ by ${say.percent(profileAsymmetry)} of the mean; beyond ${say.percent(limits.maxAsymmetryHard)} it is no longer the profile of a pipe.`,
  remedy:
    'Repeat the traverse. If the profile stays as it is, use another existing tapping or another method. A new tapping is for people qualified to make one.',
  cautions: ['drilling-pressurised-pipe'],
  source: ourJudgement('a quarter is more than a single bend leaves after eight diameters'),
  examples: {
    passes: [{ profileAsymmetry: 0.25 }, { profileAsymmetry: 0.02 }],
    raises: [{ profileAsymmetry: 0.26 }],
  },
})
