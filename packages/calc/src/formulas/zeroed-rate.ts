/** Rate of a meter whose reading without flow is known. */
import { defineFormula } from '../formula.ts'

/** Rate in m³/s: what the meter shows less what it shows in standing water. */
export const zeroedRate = defineFormula({
  id: 'zeroed-rate',
  title: 'Rate less the reading without flow',
  unit: 'm3/s',
  inputs: { shown: 'm3/s', zero: 'm3/s' },
  expression: 'Q = Q_shown − Q_zero',
  source: { document: 'common practice', place: 'a known offset is taken off', basis: 'common practice' },
  symbols: { shown: ['Q_shown', 'rate as shown'], zero: ['Q_zero', 'rate shown in standing water'] },
  validity: 'The pipe was full and the water stood still when the zero was read, with the same settings.',
  value: ({ shown, zero }) => shown - zero,
  partials: () => ({ shown: 1, zero: -1 }),
})
