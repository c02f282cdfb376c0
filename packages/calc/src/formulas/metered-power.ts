/** Power of a meter that displays it. */
import { defineFormula } from '../formula.ts'

/** Power in W: what the display shows times the multiplier. */
export const meteredPower = defineFormula({
  id: 'metered-power',
  title: 'Power by the display',
  unit: 'W',
  inputs: { shown: 'W', multiplier: '1' },
  expression: 'P = P_shown · M',
  symbols: {
    shown: ['P_shown', 'power as the meter shows it'],
    multiplier: ['M', 'multiplier of the meter'],
  },
  source: {
    document: 'common practice',
    place: 'a display behind transformers is multiplied',
    basis: 'common practice',
  },
  value: ({ shown, multiplier }) => shown * multiplier,
  partials: ({ shown, multiplier }) => ({ shown: multiplier, multiplier: shown }),
})
