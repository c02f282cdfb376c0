/** All the head the plant gives the water, up to the discharge tap. */
import { defineFormula } from '../formula.ts'

/** Total dynamic head in m. */
export const totalDynamicHead = defineFormula({
  id: 'total-dynamic-head',
  title: 'Total dynamic head',
  unit: 'm',
  inputs: { fieldHead: 'm', velocityHead: 'm' },
  expression: 'H = H_f + h_v',
  symbols: {
    fieldHead: ['H_f', 'head without velocity head'],
    velocityHead: ['h_v', 'velocity head at the discharge tap'],
  },
  source: { document: 'ISO 9906:2012', place: 'definition of total head (item from memory)', basis: 'from memory' },
  value: ({ fieldHead, velocityHead }) => fieldHead + velocityHead,
  partials: () => ({ fieldHead: 1, velocityHead: 1 }),
})
