/** Flow from a vertical pipe that throws a jet. */
import { power } from '../elementary.ts'
import { defineFormula } from '../formula.ts'

/** 5.01 gpm/in^2.52 in SI. */
const K = (5.01 * ((231 * power(0.0254, 3)) / 60)) / power(0.0254, 1.99 + 0.53)

/** Flow in m³/s from the inside diameter and the height of the jet in m. */
export const verticalJetFlow = defineFormula({
  id: 'vertical-jet-flow',
  title: 'Flow of the vertical jet',
  unit: 'm3/s',
  inputs: { diameter: 'm', height: 'm' },
  expression: 'Q = 5.01 · D^1.99 · H^0.53 (gpm, in)',
  symbols: {
    diameter: ['D', 'inside diameter of the pipe'],
    height: ['H', 'height of the jet above the mouth'],
  },
  validity: 'Jet higher than 1.4 diameters; within about 10 %.',
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 14 section 13',
    basis: 'looked up',
  },
  value: ({ diameter, height }) => K * power(diameter, 1.99) * power(height, 0.53),
  partials: ({ diameter, height }) => {
    const flow = K * power(diameter, 1.99) * power(height, 0.53)
    return { diameter: (1.99 * flow) / diameter, height: (0.53 * flow) / height }
  },
})
