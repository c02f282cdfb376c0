import { defineFinding } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const acousticLevelUsed = defineFinding({
  id: 'acoustic-level-used',
  group: 'levels',
  severity: 'caution',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'sheet',
  rule: 'A level was read by sound.',
  why: 'The air of the casing differs in temperature from the outside, and joints give false echoes: about one percent of the depth.',
  needs: ['acousticLevel'],
  limits: [],
  raised: ({ acousticLevel }) => acousticLevel,
  message: () => 'A level was read by sound, which is known to about one percent of the depth.',
  remedy: 'Use a sounder where one can be lowered safely.',
  cautions: ['well-and-contamination', 'well-head'],
  source: ourJudgement('most acoustic readings of a state survey lay within 2 ft and 2 percent of other devices'),
  examples: { passes: [{ acousticLevel: false }], raises: [{ acousticLevel: true }] },
})
