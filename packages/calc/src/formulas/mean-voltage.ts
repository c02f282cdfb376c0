/** Mean of the voltages of the lines. */

import { defineFormula } from '../formula.ts'
import { mean } from '../mean.ts'

/** Mean in V of the voltages between the lines. */
export const meanVoltage = defineFormula({
  id: 'mean-voltage',
  title: 'Mean voltage',
  unit: 'V',
  inputs: { voltages: ['V'] },
  expression: 'U = Σ Uᵢ / n',
  symbols: {
    voltages: ['Uᵢ', 'voltage between each two lines; n is their number'],
  },
  source: { document: 'common practice', place: 'the mean of the three line voltages', basis: 'common practice' },
  value: ({ voltages }) => mean(voltages),
  partials: ({ voltages }) => ({ voltages: voltages.map(() => 1 / voltages.length) }),
})
