import { defineFinding, exceeds, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

/** Far from the speed they are brought to, runs are held to twice the limit: efficiency is no longer kept. */
const allowed = (speedRatio: number, limits: { maxAffinityResidual: number; affinityReach: number }): number =>
  fallsShort(speedRatio, 1 - limits.affinityReach) ? 2 * limits.maxAffinityResidual : limits.maxAffinityResidual

export const runsBreakTheAffinityLaws = defineFinding({
  id: 'runs-break-the-affinity-laws',
  group: 'results',
  severity: 'caution',
  place: '/runs',
  decidedFrom: 'sheet',
  scope: 'visit',
  rule: 'Runs at different speeds, brought to one speed, do not lie on one falling curve of head over flow.',
  why: 'Flow goes with speed and head with its square: a speed, a flow or a level was misread in one of the runs.',
  needs: ['affinityRun', 'affinityResidual', 'affinitySpeedRatio'],
  limits: ['maxAffinityResidual', 'affinityReach'],
  raised: ({ affinityResidual, affinitySpeedRatio }, limits) =>
    exceeds(affinityResidual, allowed(affinitySpeedRatio, limits)),
  message: ({ affinityRun, affinityResidual, affinitySpeedRatio }, say, limits) =>
    `Brought to the speed of the fastest run, the head of run ${affinityRun} is ${say.percent(affinityResidual)} off the curve through the others; at most ${say.percent(allowed(affinitySpeedRatio, limits))} is expected.`,
  remedy: 'Look again at the speed, the flow and the levels of that run and of its neighbours in flow.',
  source: ourJudgement(
    'five percent is beyond the uncertainty of two heads; below four fifths of the speed the laws hold less well',
  ),
  examples: {
    passes: [
      { affinityRun: 2, affinityResidual: 0.05, affinitySpeedRatio: 0.9 },
      { affinityRun: 2, affinityResidual: 0.05, affinitySpeedRatio: 0.8 },
      { affinityRun: 2, affinityResidual: 0.1, affinitySpeedRatio: 0.79 },
    ],
    raises: [
      { affinityRun: 2, affinityResidual: 0.051, affinitySpeedRatio: 0.9 },
      { affinityRun: 2, affinityResidual: 0.06, affinitySpeedRatio: 0.8 },
      { affinityRun: 2, affinityResidual: 0.11, affinitySpeedRatio: 0.79 },
    ],
  },
})
