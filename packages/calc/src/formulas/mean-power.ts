/** Mean power of repeated timings. */
import { defineFormula } from '../formula.ts'

/** Mean in W of the powers of the timings; the counts may differ between timings. */
export const meanPower = defineFormula({
  id: 'mean-power',
  title: 'Mean power of the timings',
  unit: 'W',
  inputs: { powers: ['W'] },
  expression: 'P = Σ Pᵢ / n',
  source: { document: 'common practice', place: 'the meter is timed at least three times', basis: 'common practice' },
  value: ({ powers }) => {
    let sum = 0
    for (const power of powers) sum += power
    return sum / powers.length
  },
  partials: ({ powers }) => ({ powers: powers.map(() => 1 / powers.length) }),
})
