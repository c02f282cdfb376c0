/** Velocity of a meter whose reading without flow is known. */
import { defineFormula } from '../formula.ts'

/** Velocity in m/s: what the meter shows less what it shows in standing water. */
export const zeroedVelocity = defineFormula({
  id: 'zeroed-velocity',
  title: 'Velocity less the reading without flow',
  unit: 'm/s',
  inputs: { shown: 'm/s', zero: 'm/s' },
  expression: 'v = v_shown − v_zero',
  source: { document: 'common practice', place: 'a known offset is taken off', basis: 'common practice' },
  symbols: { shown: ['v_shown', 'velocity as shown'], zero: ['v_zero', 'velocity shown in standing water'] },
  validity: 'The pipe was full and the water stood still when the zero was read, with the same settings.',
  value: ({ shown, zero }) => shown - zero,
  partials: () => ({ shown: 1, zero: -1 }),
})
