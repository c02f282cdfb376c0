/** Mean velocity from flow and area. */
import { defineFormula } from '../formula.ts'

/** Mean velocity in m/s at a section of the given area in m². */
export const pipeVelocity = defineFormula({
  id: 'pipe-velocity',
  title: 'Mean velocity at the section',
  unit: 'm/s',
  inputs: { flow: 'm3/s', area: 'm2' },
  expression: 'v = Q / A',
  symbols: {
    flow: ['Q', 'flow'],
    area: ['A', 'area of the pipe'],
  },
  source: { document: 'general hydraulics', place: 'continuity', basis: 'derived' },
  value: ({ flow, area }) => flow / area,
  partials: ({ flow, area }) => ({ flow: 1 / area, area: -flow / (area * area) }),
})
