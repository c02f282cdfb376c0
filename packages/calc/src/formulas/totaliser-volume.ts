/** Volume that passed a totaliser. */
import { defineFormula } from '../formula.ts'

/** Volume in m³ between two readings of the register; rollover is the volume at which the register starts anew, or zero. */
export const totaliserVolume = defineFormula({
  id: 'totaliser-volume',
  title: 'Volume timed on the totaliser',
  unit: 'm3',
  inputs: { start: 'm3', end: 'm3', rollover: 'm3', multiplier: '1' },
  expression: 'V = (T₂ − T₁ + T_r) · M',
  symbols: {
    start: ['T₁', 'register at the start'],
    end: ['T₂', 'register at the end'],
    rollover: ['T_r', 'volume at which the register starts anew, where it did'],
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
