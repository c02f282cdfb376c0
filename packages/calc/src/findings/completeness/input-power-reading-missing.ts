import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const inputPowerReadingMissing = defineFinding({
  id: 'input-power-reading-missing',
  group: 'completeness',
  severity: 'reject',
  place: '/runs/*/power',
  decidedFrom: 'sheet',
  promisedBy: ['full', 'flow-and-power'],
  rule: 'A run has no reading of input power.',
  why: 'Efficiency and energy per volume need the power that goes in.',
  needs: [],
  limits: [],
  raised: ({ powerRead }) => powerRead !== true,
  message: () => 'No input power was read in this run; efficiency and energy per volume need it.',
  remedy:
    'Time the utility meter from outside, in the same run as flow and head. If the meter can’t be reached safely, list the reading as left out, with the reason.',
  cautions: ['electrical-panel'],
  source: commonPractice('input power is read in the same run as flow and head'),
  absenceOf: 'power',
  spoils: ['input-power'],
  silences: ['meter-constant-missing', 'meter-multiplier-not-stated', 'meter-timings-too-few', 'power-factor-missing'],
  examples: {
    passes: [{ powerRead: true }],
    raises: [{ powerRead: false }, { powerRead: false, timedMeter: true, timingCount: 0 }, {}],
  },
})
