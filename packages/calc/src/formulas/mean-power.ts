/** Mean of repeated powers. */

import { defineFormula } from '../formula.ts'
import { mean } from '../mean.ts'

/** Mean in W of the powers of timings or of a display; the counts may differ between timings. */
export const meanPower = defineFormula({
  id: 'mean-power',
  title: 'Mean of the repeated powers',
  unit: 'W',
  inputs: { powers: ['W'] },
  expression: 'P = Σ Pᵢ / n',
  symbols: {
    powers: ['Pᵢ', 'power of each timing; n is their number'],
  },
  source: { document: 'common practice', place: 'the meter is timed at least three times', basis: 'common practice' },
  value: ({ powers }) => mean(powers),
  partials: ({ powers }) => ({ powers: powers.map(() => 1 / powers.length) }),
})
