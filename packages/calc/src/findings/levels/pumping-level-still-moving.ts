import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const pumpingLevelStillMoving = defineFinding({
  id: 'pumping-level-still-moving',
  group: 'levels',
  severity: 'caution',
  place: '/runs/*/pumpingLevel/series',
  decidedFrom: 'sheet',
  rule: 'The pumping level changed over the last minutes of its series by more than the limit.',
  why: 'The head is not yet that of steady operation, and drawdown is not complete.',
  needs: ['levelChange', 'levelWindow'],
  limits: ['maxChange', 'maxChangeShare'],
  raised: ({ levelChange, fieldHead }, limits) =>
    exceeds(Math.abs(levelChange), Math.max(limits.maxChange, limits.maxChangeShare * (fieldHead ?? 0))),
  message: ({ levelChange, levelWindow, fieldHead }, say, limits) =>
    `The pumping level ${levelChange > 0 ? 'fell' : 'rose'} ${say.length(Math.abs(levelChange))} in the last ${say.time(levelWindow)}; at most ${say.length(Math.max(limits.maxChange, limits.maxChangeShare * (fieldHead ?? 0)))} is expected.`,
  remedy:
    'Go on pumping and reading until the level settles, then read pressure, flow and power again. A reading in a panel is for qualified staff only.',
  cautions: ['well-and-contamination', 'well-head'],
  source: ourJudgement(
    '0.3 percent of head is a tenth of the usual uncertainty of efficiency, so a slower drift does not matter for it',
  ),
  examples: {
    passes: [
      { levelWindow: 600, levelChange: 0.09144 },
      { levelWindow: 600, levelChange: 0.09144, fieldHead: 10 },
      { levelWindow: 600, levelChange: 0.18, fieldHead: 60 },
      { levelWindow: 600, levelChange: -0.18, fieldHead: 60 },
    ],
    raises: [
      { levelWindow: 600, levelChange: 0.1 },
      { levelWindow: 600, levelChange: 0.19, fieldHead: 60 },
      { levelWindow: 600, levelChange: -0.19, fieldHead: 60 },
    ],
  },
})
