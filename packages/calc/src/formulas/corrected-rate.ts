/** Flow of a meter whose certificate gives a factor. */
import { defineFormula } from '../formula.ts'

/** Flow in m³/s: what the meter shows times the factor of its certificate. */
export const correctedRate = defineFormula({
  id: 'corrected-rate',
  title: 'Flow corrected by the certificate',
  unit: 'm3/s',
  inputs: { rate: 'm3/s', factor: '1' },
  expression: 'Q = f · Q_shown',
  symbols: {
    rate: ['Q_shown', 'flow as the meter shows it'],
    factor: ['f', 'correction factor of its certificate'],
  },
  source: { document: 'common practice', place: 'a known correction is applied', basis: 'common practice' },
  value: ({ rate, factor }) => rate * factor,
  partials: ({ rate, factor }) => ({ rate: factor, factor: rate }),
})
