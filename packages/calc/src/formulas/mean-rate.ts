/** Mean of repeated rates of a meter. */

import { defineFormula } from '../formula.ts'
import { mean } from '../mean.ts'

/** Mean in m³/s of the rates read one after the other. */
export const meanRate = defineFormula({
  id: 'mean-rate',
  title: 'Mean of the rates read',
  unit: 'm3/s',
  inputs: { rates: ['m3/s'] },
  expression: 'Q = Σ Qᵢ / n',
  symbols: {
    rates: ['Qᵢ', 'flow of each reading; n is their number'],
  },
  source: { document: 'common practice', place: 'a rate is read several times', basis: 'common practice' },
  value: ({ rates }) => mean(rates),
  partials: ({ rates }) => ({ rates: rates.map(() => 1 / rates.length) }),
})
