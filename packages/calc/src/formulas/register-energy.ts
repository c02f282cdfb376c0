/** Energy that passed the register of a meter. */
import { defineFormula } from '../formula.ts'

/** Energy in J between two readings of the register; rollover is the energy at which the register starts anew, or zero. */
export const registerEnergy = defineFormula({
  id: 'register-energy',
  title: 'Energy between two readings of the register',
  unit: 'J',
  inputs: { start: 'J', end: 'J', rollover: 'J', multiplier: '1' },
  expression: 'E = (R₂ − R₁ + R_r) · M',
  symbols: {
    start: ['R₁', 'register at the start'],
    end: ['R₂', 'register at the end'],
    rollover: ['R_r', 'energy at which the register starts anew, where it did'],
    multiplier: ['M', 'multiplier of the register'],
  },
  source: {
    document: 'common practice',
    place: 'the difference of two readings times the multiplier',
    basis: 'common practice',
  },
  value: ({ start, end, rollover, multiplier }) => (end - start + rollover) * multiplier,
  partials: ({ start, end, rollover, multiplier }) => ({
    start: -multiplier,
    end: multiplier,
    rollover: multiplier,
    multiplier: end - start + rollover,
  }),
})
