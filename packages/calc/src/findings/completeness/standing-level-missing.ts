import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const standingLevelMissing = defineFinding({
  id: 'standing-level-missing',
  group: 'completeness',
  severity: 'caution',
  place: '/standingLevel',
  decidedFrom: 'sheet',
  promisedBy: ['full'],
  rule: 'A test of a well has no standing water level.',
  why: 'Without drawdown and specific capacity, trouble in the well can’t be told from trouble in the pump.',
  needs: ['plantKind'],
  limits: [],
  raised: ({ plantKind, standingLevel }) => plantKind === 'well' && standingLevel === undefined,
  message: () =>
    'No standing water level was read, so drawdown and specific capacity are left out. Overall plant efficiency does not depend on it.',
  remedy:
    'Where the access can be reached safely, read the level before the pump is started, or on another day when the well has rested.',
  cautions: ['well-and-contamination', 'well-head'],
  source: commonPractice('specific capacity is flow divided by drawdown from the standing level'),
  absenceOf: 'standing-level',
  examples: {
    passes: [{ plantKind: 'well', standingLevel: 36.1 }, { plantKind: 'booster' }],
    raises: [{ plantKind: 'well', pumpingLevel: 43.2 }],
  },
})
