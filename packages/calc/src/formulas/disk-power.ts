/** Power from the revolutions of a watt-hour meter's disk. */
import { defineFormula } from '../formula.ts'

/** Power in W from one timing: constant in J/rev, revolutions, multiplier, elapsed time in s. */
export const diskPower = defineFormula({
  id: 'disk-power',
  title: 'Power of one timing',
  unit: 'W',
  inputs: { constant: 'J/rev', revolutions: 'rev', multiplier: '1', elapsed: 's' },
  expression: 'P = Kh · N · M / t',
  symbols: {
    constant: ['Kh', 'energy of one revolution of the disk'],
    revolutions: ['N', 'revolutions counted'],
    multiplier: ['M', 'multiplier of the meter'],
    elapsed: ['t', 'time they took'],
  },
  source: { document: 'general science', place: 'definition of the watt-hour constant of a meter', basis: 'derived' },
  value: ({ constant, revolutions, multiplier, elapsed }) => (constant * revolutions * multiplier) / elapsed,
  partials: ({ constant, revolutions, multiplier, elapsed }) => {
    const value = (constant * revolutions * multiplier) / elapsed
    return {
      constant: value / constant,
      revolutions: value / revolutions,
      multiplier: value / multiplier,
      elapsed: -value / elapsed,
    }
  },
})
