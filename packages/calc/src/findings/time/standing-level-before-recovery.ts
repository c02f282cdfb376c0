import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const standingLevelBeforeRecovery = defineFinding({
  id: 'standing-level-before-recovery',
  group: 'time',
  severity: 'caution',
  place: '/standingLevel',
  decidedFrom: 'sheet',
  rule: 'The pump had stood still for too short a time before the standing level was read.',
  why: 'The level may still be rising; drawdown then comes out too small and specific capacity too large.',
  needs: ['restTime'],
  limits: ['minRest'],
  raised: ({ restTime }, limits) => fallsShort(restTime, limits.minRest),
  message: ({ restTime }, say, limits) =>
    `The pump had rested ${say.time(restTime)} before the standing level was read; at least ${say.time(limits.minRest)} is expected.`,
  remedy: 'Read the level again until it stands, or on a day when the well has rested.',
  cautions: ['well-and-contamination', 'well-head'],
  source: ourJudgement(
    'wells recover in minutes to many hours: a state rule for formal pump tests asks 16 h (Oregon Administrative Rules 690-217-0025); 2 h is a warning',
  ),
  examples: {
    passes: [{ restTime: 7200 }, { restTime: 50_400 }],
    raises: [{ restTime: 7100 }, { restTime: 600 }],
  },
})
