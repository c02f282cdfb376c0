import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const speedAboveSynchronous = defineFinding({
  id: 'speed-above-synchronous',
  group: 'power',
  severity: 'hold',
  place: '/runs/*/speeds',
  decidedFrom: 'context',
  rule: 'An induction motor without a drive is said to run at or above its synchronous speed.',
  why: 'Under load a motor slips; the speed or the number of poles is not right.',
  needs: ['speed', 'synchronousSpeed', 'hasDrive', 'directDrive'],
  limits: [],
  raised: ({ speed, synchronousSpeed, hasDrive, directDrive }) => directDrive && !hasDrive && speed >= synchronousSpeed,
  message: ({ speed, synchronousSpeed }, say) =>
    `A speed of ${say.number(speed * 60)} rpm was read; a motor of this plate stays below ${say.number(synchronousSpeed * 60)} rpm.`,
  remedy: 'Read the speed again, by light or through the guard, or compare the plate with the record.',
  cautions: ['rotating-shaft'],
  source: commonPractice('slip of an induction motor'),
  examples: {
    passes: [
      { speed: 29.6, synchronousSpeed: 30, hasDrive: false, directDrive: true },
      { speed: 31, synchronousSpeed: 30, hasDrive: true, directDrive: true },
      { speed: 31, synchronousSpeed: 30, hasDrive: false, directDrive: false },
    ],
    raises: [
      { speed: 30, synchronousSpeed: 30, hasDrive: false, directDrive: true },
      { speed: 31, synchronousSpeed: 30, hasDrive: false, directDrive: true },
    ],
  },
})
