/** Yield of the well for each unit of drawdown. */
import { defineFormula } from '../formula.ts'

/** Specific capacity in m²/s from flow in m³/s and drawdown in m. */
export const specificCapacity = defineFormula({
  id: 'specific-capacity',
  title: 'Specific capacity',
  unit: 'm2/s',
  inputs: { flow: 'm3/s', drawdown: 'm' },
  expression: 'S = Q / s',
  symbols: {
    flow: ['Q', 'flow'],
    drawdown: ['s', 'drawdown'],
  },
  validity: 'Drawdown of more than three of its standard uncertainties.',
  source: { document: 'common practice', place: 'definition of specific capacity', basis: 'common practice' },
  value: ({ flow, drawdown }) => flow / drawdown,
  partials: ({ flow, drawdown }) => ({ flow: 1 / drawdown, drawdown: -flow / (drawdown * drawdown) }),
})
