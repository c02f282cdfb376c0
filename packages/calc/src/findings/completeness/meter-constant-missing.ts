import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const meterConstantMissing = defineFinding({
  id: 'meter-constant-missing',
  group: 'completeness',
  severity: 'reject',
  place: '/runs/*/power/kh',
  decidedFrom: 'sheet',
  rule: 'The meter was timed, but the energy of one revolution of its disk was not given.',
  why: 'Revolutions and seconds say nothing about power without the constant.',
  needs: ['diskMeter'],
  limits: [],
  raised: ({ diskMeter, meterConstant }) => diskMeter && meterConstant === undefined,
  message: () =>
    'The meter was timed, but its constant (Kh, in watt-hours per revolution) is missing; power can’t be computed without it.',
  remedy: 'Read Kh from the face of the meter, from outside, and add it.',
  source: commonPractice('power of a disk meter is constant times revolutions per time'),
  spoils: ['input-power'],
  examples: {
    passes: [{ diskMeter: true, meterConstant: 6480 }, { diskMeter: false }],
    raises: [{ diskMeter: true }],
  },
})
