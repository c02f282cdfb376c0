/** Mean of the currents of the lines. */

import { defineFormula } from '../formula.ts'
import { mean } from '../mean.ts'

/** Mean in A of the currents of the lines. */
export const meanCurrent = defineFormula({
  id: 'mean-current',
  title: 'Mean current',
  unit: 'A',
  inputs: { currents: ['A'] },
  expression: 'I = Σ Iᵢ / n',
  symbols: {
    currents: ['Iᵢ', 'current of each line; n is their number'],
  },
  source: { document: 'common practice', place: 'the mean of the three line currents', basis: 'common practice' },
  value: ({ currents }) => mean(currents),
  partials: ({ currents }) => ({ currents: currents.map(() => 1 / currents.length) }),
})
