/** Flow at the discharge tap where some of it leaves before the meter. */
import { defineFormula } from '../formula.ts'

/** Flow in m³/s through the discharge tap. */
export const flowAtTap = defineFormula({
  id: 'flow-at-tap',
  title: 'Flow at the discharge tap',
  unit: 'm3/s',
  inputs: { metered: 'm3/s', leaving: 'm3/s' },
  expression: 'Q = Q_m + Q_l',
  symbols: {
    metered: ['Q_m', 'flow where it was measured'],
    leaving: ['Q_l', 'water that left before'],
  },
  source: { document: 'general hydraulics', place: 'continuity', basis: 'derived' },
  value: ({ metered, leaving }) => metered + leaving,
  partials: () => ({ metered: 1, leaving: 1 }),
})
