/** How far one line’s voltage lies from the others. */

import { defineFormula } from '../formula.ts'
import { unbalance, unbalancePartials } from '../unbalance.ts'

/** Largest distance of a voltage from the mean of the lines, divided by that mean. */
export const voltageUnbalance = defineFormula({
  id: 'voltage-unbalance',
  title: 'Unbalance of the voltages',
  unit: '1',
  inputs: { voltages: ['V'] },
  expression: 'u = max |Uᵢ − U_m| / U_m',
  symbols: {
    voltages: ['Uᵢ', 'voltage between each two lines; U_m is their mean'],
  },
  source: { document: 'NEMA MG 1', place: 'definition of unbalance (item from memory)', basis: 'from memory' },
  value: ({ voltages }) => unbalance(voltages),
  partials: ({ voltages }) => ({ voltages: unbalancePartials(voltages) }),
})
