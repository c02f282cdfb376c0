import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const pumpingLevelFallingFast = defineFinding({
  id: 'pumping-level-falling-fast',
  group: 'levels',
  severity: 'hold',
  place: '/runs/*/pumpingLevel/series',
  decidedFrom: 'sheet',
  rule: 'The pumping level still moved fast when the last reading was taken.',
  why: 'Head is uncertain by as much as flow usually is; the well may also give less water than it is asked for.',
  needs: ['levelChange', 'levelWindow'],
  limits: ['maxChangeHard', 'maxChangeHardShare'],
  raised: ({ levelChange, fieldHead }, limits) =>
    exceeds(Math.abs(levelChange), Math.max(limits.maxChangeHard, limits.maxChangeHardShare * (fieldHead ?? 0))),
  message: ({ levelChange, levelWindow, fieldHead }, say, limits) =>
    `The pumping level ${levelChange > 0 ? 'fell' : 'rose'} ${say.length(Math.abs(levelChange))} in the last ${say.time(levelWindow)}; beyond ${say.length(Math.max(limits.maxChangeHard, limits.maxChangeHardShare * (fieldHead ?? 0)))} the well has not settled.`,
  remedy:
    'Pump longer and repeat the readings, but only while water stands well over the bowls. If the level never settles, say so and test at a lower flow, set by whoever runs the plant.',
  cautions: ['well-and-contamination', 'well-head'],
  source: ourJudgement('two percent of head equals the uncertainty of a good flow reading'),
  silences: ['pumping-level-still-moving'],
  examples: {
    passes: [
      { levelWindow: 600, levelChange: 0.6096 },
      { levelWindow: 600, levelChange: 0.6096, fieldHead: 20 },
      { levelWindow: 600, levelChange: 1.2, fieldHead: 60 },
    ],
    raises: [
      { levelWindow: 600, levelChange: 0.62 },
      { levelWindow: 600, levelChange: 1.21, fieldHead: 60 },
      { levelWindow: 600, levelChange: -1.21, fieldHead: 60 },
    ],
  },
})
