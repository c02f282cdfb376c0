import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const pumpingLevelMissing = defineFinding({
  id: 'pumping-level-missing',
  group: 'completeness',
  severity: 'reject',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'sheet',
  promisedBy: ['full'],
  rule: 'A run at a well has no pumping water level.',
  why: 'Lift is usually the larger part of a well’s head; without the pumping level there is neither head nor efficiency.',
  needs: ['plantKind'],
  limits: [],
  raised: ({ plantKind, pumpingLevel }) => plantKind === 'well' && pumpingLevel === undefined,
  message: () =>
    'No pumping water level was read in this run; head and efficiency of a well need one, read while the pump runs.',
  remedy:
    'Where the sounding access can be reached safely, read the level before the pump is stopped. If it can’t be reached, list the reading as left out, with the reason.',
  cautions: ['well-and-contamination', 'well-head'],
  source: commonPractice('total head of a well is counted from the pumping level'),
  absenceOf: 'pumping-level',
  spoils: ['pumping-water-level'],
  silences: ['level-series-too-short'],
  examples: {
    passes: [{ plantKind: 'well', pumpingLevel: 43.2 }, { plantKind: 'booster' }],
    raises: [{ plantKind: 'well' }, { plantKind: 'well', standingLevel: 36.1 }],
  },
})
