/** Area of a circular section. */
import { PI } from '../constants.ts'
import { defineFormula } from '../formula.ts'

/** Area in m² from the inside diameter in m. */
export const pipeArea = defineFormula({
  id: 'pipe-area',
  title: 'Area of the pipe',
  unit: 'm2',
  inputs: { diameter: 'm' },
  expression: 'A = π D² / 4',
  symbols: {
    diameter: ['D', 'inside diameter'],
  },
  source: { document: 'general geometry', place: 'area of a circle', basis: 'derived' },
  value: ({ diameter }) => (PI * diameter * diameter) / 4,
  partials: ({ diameter }) => ({ diameter: (PI * diameter) / 2 }),
})
