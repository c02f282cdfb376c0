/** Flow from a vertical pipe over whose rim the water runs as over a weir. */
import { power } from '../elementary.ts'
import { defineFormula } from '../formula.ts'

/** Flow in m³/s from the inside diameter and the height of the water above the rim in m. */
export const verticalOverflowFlow = defineFormula({
  id: 'vertical-overflow-flow',
  title: 'Flow over the rim of the vertical pipe',
  unit: 'm3/s',
  inputs: { diameter: 'm', height: 'm' },
  expression: 'Q = 5.47 · D^1.25 · H^1.35',
  symbols: {
    diameter: ['D', 'inside diameter of the pipe'],
    height: ['H', 'height of the water above the rim'],
  },
  validity: 'Water lower than 0.37 diameters above the rim; within about 15 %.',
  source: {
    document: 'M. G. Bos (ed.), Discharge Measurement Structures, 3rd ed., 1989',
    place: 'after Lawrence and Braunworth, 1906 (from memory)',
    basis: 'from memory',
  },
  value: ({ diameter, height }) => 5.47 * power(diameter, 1.25) * power(height, 1.35),
  partials: ({ diameter, height }) => {
    const flow = 5.47 * power(diameter, 1.25) * power(height, 1.35)
    return { diameter: (1.25 * flow) / diameter, height: (1.35 * flow) / height }
  },
})
