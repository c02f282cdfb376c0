/** Flow from mean velocity and area. */
import { defineFormula } from '../formula.ts'

/** Flow in m³/s. */
export const flowInPipe = defineFormula({
  id: 'flow-in-pipe',
  title: 'Flow',
  unit: 'm3/s',
  inputs: { velocity: 'm/s', area: 'm2' },
  expression: 'Q = v_m · A',
  symbols: {
    velocity: ['v_m', 'mean velocity over the section'],
    area: ['A', 'area of the section'],
  },
  source: { document: 'ISO 3966:2008', place: 'definition of flow-rate (item from memory)', basis: 'from memory' },
  value: ({ velocity, area }) => velocity * area,
  partials: ({ velocity, area }) => ({ velocity: area, area: velocity }),
})
