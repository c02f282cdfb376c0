/** How far one line’s current lies from the others. */

import { defineFormula } from '../formula.ts'
import { unbalance, unbalancePartials } from '../unbalance.ts'

/** Largest distance of a current from the mean of the lines, divided by that mean. */
export const currentUnbalance = defineFormula({
  id: 'current-unbalance',
  title: 'Unbalance of the currents',
  unit: '1',
  inputs: { currents: ['A'] },
  expression: 'u = max |Iᵢ − I_m| / I_m',
  symbols: {
    currents: ['Iᵢ', 'current of each line; I_m is their mean'],
  },
  source: { document: 'NEMA MG 1', place: 'definition of unbalance (item from memory)', basis: 'from memory' },
  value: ({ currents }) => unbalance(currents),
  partials: ({ currents }) => ({ currents: unbalancePartials(currents) }),
})
