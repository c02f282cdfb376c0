import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const runsAtDifferentSpeedMixed = defineFinding({
  id: 'runs-at-different-speed-mixed',
  group: 'time',
  severity: 'hold',
  place: '/runs/*',
  decidedFrom: 'sheet',
  rule: 'Speed or frequency changed within one run by more than the limit.',
  why: 'Power goes with the cube of speed: one percent is three.',
  needs: ['speedSpread'],
  limits: ['maxSpeedSpread'],
  raised: ({ speedSpread }, limits) => exceeds(speedSpread, limits.maxSpeedSpread),
  message: ({ speedSpread }, say, limits) =>
    `Speed or frequency ranged over ${say.percent(speedSpread)} within this run; at most ${say.percent(limits.maxSpeedSpread)} is expected.`,
  remedy: 'Have the drive held at one frequency by whoever runs it, and make each speed a run of its own.',
  source: ourJudgement('one percent of speed is about three percent of power, the size of the other errors'),
  examples: {
    passes: [{ speedSpread: 0.01 }, { speedSpread: 0 }],
    raises: [{ speedSpread: 0.011 }],
  },
})
