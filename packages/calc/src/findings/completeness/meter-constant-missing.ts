import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const meterConstantMissing = defineFinding({
  id: 'meter-constant-missing',
  group: 'completeness',
  severity: 'reject',
  place: '/runs/*/power',
  decidedFrom: 'sheet',
  promisedBy: ['full', 'flow-and-power'],
  rule: 'The meter was timed, but the energy of one revolution or pulse was not given.',
  why: 'Counts and seconds say nothing about power without the constant.',
  needs: ['timedMeter'],
  limits: [],
  raised: ({ timedMeter, meterConstant }) => timedMeter && meterConstant === undefined,
  message: () =>
    'The meter was timed, but its constant is missing (Kh, energy of a pulse, or blinks per kilowatt-hour); power can’t be computed without it.',
  remedy: 'Read the constant from the face of the meter, from outside, and add it.',
  cautions: ['electrical-panel'],
  source: commonPractice('power is the constant times counts per time'),
  absenceOf: 'meter-constant',
  spoils: ['input-power'],
  examples: {
    passes: [{ timedMeter: true, meterConstant: 6480 }, { timedMeter: false }],
    raises: [{ timedMeter: true }],
  },
})
