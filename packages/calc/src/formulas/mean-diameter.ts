/** One diameter from two read at right angles. */
import { defineFormula } from '../formula.ts'

/** Diameter in m of the circle with the area of the ellipse whose axes were read. */
export const meanDiameter = defineFormula({
  id: 'mean-diameter',
  title: 'Inside diameter',
  unit: 'm',
  inputs: { first: 'm', second: 'm' },
  expression: 'D = √(D₁ · D₂)',
  symbols: {
    first: ['D₁', 'one inside diameter'],
    second: ['D₂', 'the other, at right angles'],
  },
  validity: 'Slightly oval pipe: two diameters at right angles.',
  source: { document: 'general geometry', place: 'area of an ellipse', basis: 'derived' },
  value: ({ first, second }) => Math.sqrt(first * second),
  partials: ({ first, second }) => {
    const value = Math.sqrt(first * second)
    return { first: value / (2 * first), second: value / (2 * second) }
  },
})
