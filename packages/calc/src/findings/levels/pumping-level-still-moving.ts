import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const pumpingLevelStillMoving = defineFinding({
  id: 'pumping-level-still-moving',
  group: 'levels',
  severity: 'caution',
  place: '/runs/*/pumpingLevel/series',
  decidedFrom: 'sheet',
  rule: 'The pumping level changed over the last ten minutes of its series by more than the limit.',
  why: 'The head is not yet that of steady operation, and drawdown is not complete.',
  needs: ['levelChangeLastTen'],
  limits: ['maxChange', 'maxChangeShare'],
  raised: ({ levelChangeLastTen, fieldHead }, limits) =>
    exceeds(Math.abs(levelChangeLastTen), Math.max(limits.maxChange, limits.maxChangeShare * (fieldHead ?? 0))),
  message: ({ levelChangeLastTen, fieldHead }, say, limits) =>
    `The pumping level ${levelChangeLastTen > 0 ? 'fell' : 'rose'} ${say.length(Math.abs(levelChangeLastTen))} in the last ten minutes; at most ${say.length(Math.max(limits.maxChange, limits.maxChangeShare * (fieldHead ?? 0)))} is expected.`,
  remedy: 'Go on pumping and reading until the level settles, then read pressure, flow and power again.',
  source: ourJudgement(
    '0.3 percent of head is a tenth of the usual uncertainty of efficiency, so a slower drift does not matter for it',
  ),
  examples: {
    passes: [
      { levelChangeLastTen: 0.09144 },
      { levelChangeLastTen: 0.09144, fieldHead: 10 },
      { levelChangeLastTen: 0.18, fieldHead: 60 },
      { levelChangeLastTen: -0.18, fieldHead: 60 },
    ],
    raises: [
      { levelChangeLastTen: 0.1 },
      { levelChangeLastTen: 0.19, fieldHead: 60 },
      { levelChangeLastTen: -0.19, fieldHead: 60 },
    ],
  },
})
