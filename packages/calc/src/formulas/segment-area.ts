/** Area of the water in a pipe that is partly full. */
import { arccosine, sine } from '../elementary.ts'
import { defineFormula } from '../formula.ts'

const angleOf = (depth: number, diameter: number): number => 2 * arccosine(1 - (2 * depth) / diameter)

/** Area in m² from the depth of the water and the inside diameter in m. */
export const segmentArea = defineFormula({
  id: 'segment-area',
  title: 'Area of the water in the pipe',
  unit: 'm2',
  inputs: { depth: 'm', diameter: 'm' },
  expression: 'A = D²/8 · (θ − sin θ), θ = 2 arccos(1 − 2 y/D)',
  symbols: { depth: ['y', 'depth of the water at the mouth'], diameter: ['D', 'inside diameter'] },
  validity: 'Depth more than zero and less than the diameter.',
  source: { document: 'general geometry', place: 'segment of a circle', basis: 'derived' },
  value: ({ depth, diameter }) => {
    const angle = angleOf(depth, diameter)
    return ((diameter * diameter) / 8) * (angle - sine(angle))
  },
  partials: ({ depth, diameter }) => {
    const angle = angleOf(depth, diameter)
    const chord = 2 * Math.sqrt(depth * (diameter - depth))
    return {
      depth: chord,
      diameter: (diameter / 4) * (angle - sine(angle)) - (chord * depth) / diameter,
    }
  },
})
