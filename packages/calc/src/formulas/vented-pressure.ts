/** Pressure from a gauge whose reading when vented is known. */
import { defineFormula } from '../formula.ts'

/** Gauge pressure in Pa: what the gauge shows less what it shows when vented. */
export const ventedPressure = defineFormula({
  id: 'vented-pressure',
  title: 'Gauge pressure',
  unit: 'Pa',
  inputs: { shown: 'Pa', zero: 'Pa' },
  expression: 'p = p_shown − p_zero',
  symbols: {
    shown: ['p_shown', 'what the gauge shows'],
    zero: ['p_zero', 'what it shows when vented'],
  },
  source: { document: 'common practice', place: 'a gauge is vented and its zero subtracted', basis: 'common practice' },
  value: ({ shown, zero }) => shown - zero,
  partials: () => ({ shown: 1, zero: -1 }),
})
