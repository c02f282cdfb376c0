import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const tapDiameterMissing = defineFinding({
  id: 'tap-diameter-missing',
  group: 'completeness',
  severity: 'caution',
  place: '/runs/*',
  decidedFrom: 'sheet',
  promisedBy: ['full'],
  rule: 'Flow was measured, but the inside diameter at a pressure tap is not known.',
  why: 'The velocity head at the tap belongs to total head; without the diameter it can’t be computed.',
  needs: ['tapDiameterMissing'],
  limits: [],
  raised: ({ tapDiameterMissing }) => tapDiameterMissing,
  message: () =>
    'The inside diameter of the pipe at the discharge tap, or at the suction tap of a booster fed by a pipe, was not given; total dynamic head and what follows from it are left out.',
  remedy:
    'Measure the outside diameter and the wall thickness of the pipe at the tap, and give the inside diameter. The efficiency without velocity head is reported as it is.',
  cautions: ['rotating-shaft', 'pressure-and-hammer'],
  source: commonPractice('total head contains the velocity head at the taps'),
  absenceOf: 'pipe-diameter',
  examples: {
    passes: [{ tapDiameterMissing: false }],
    raises: [{ tapDiameterMissing: true }],
  },
})
