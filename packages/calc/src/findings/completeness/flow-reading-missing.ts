import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const flowReadingMissing = defineFinding({
  id: 'flow-reading-missing',
  group: 'completeness',
  severity: 'reject',
  place: '/runs/*/flow',
  decidedFrom: 'sheet',
  promisedBy: ['full', 'flow-and-power'],
  rule: 'A run has no flow reading.',
  why: 'Water power is flow times head; energy per volume needs flow too.',
  needs: [],
  limits: [],
  raised: ({ flowRead }) => flowRead !== true,
  message: () => 'No flow was read in this run; water power and energy per volume need one.',
  remedy:
    'Measure flow in the same run as head and power. If it can’t be measured safely, list the reading as left out, with the reason.',
  source: commonPractice('water power is computed from flow and head of the same moment'),
  absenceOf: 'flow',
  spoils: ['flow'],
  silences: [
    'pipe-diameter-missing',
    'traverse-points-too-few',
    'totaliser-multiplier-not-stated',
    'profile-factor-missing',
    'tap-diameter-missing',
  ],
  examples: {
    passes: [{ flowRead: true }],
    raises: [{ flowRead: false }, { flowRead: false, areaNeeded: true, pointCount: 0 }, {}],
  },
})
