/** Mean of repeated pressures. */
import { defineFormula } from '../formula.ts'

/** Mean in Pa of the repeats. */
export const meanPressure = defineFormula({
  id: 'mean-pressure',
  title: 'Mean of the pressures',
  unit: 'Pa',
  inputs: { pressures: ['Pa'] },
  expression: 'p = Σ pᵢ / n',
  symbols: { pressures: ['pᵢ', 'pressure of each repeat; n is their number'] },
  source: { document: 'general science', place: 'arithmetic mean', basis: 'derived' },
  value: ({ pressures }) => pressures.reduce((sum, each) => sum + each, 0) / pressures.length,
  partials: ({ pressures }) => ({ pressures: pressures.map(() => 1 / pressures.length) }),
})
