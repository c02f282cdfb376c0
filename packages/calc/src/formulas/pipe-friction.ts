/** Head that friction in a pipe takes. */
import { STANDARD_GRAVITY as GRAVITY } from '../constants.ts'
import { defineFormula } from '../formula.ts'

/** Head in m lost in a straight pipe. */
export const pipeFriction = defineFormula({
  id: 'pipe-friction',
  title: 'Friction head of the column',
  unit: 'm',
  inputs: { factor: '1', length: 'm', diameter: 'm', velocity: 'm/s' },
  expression: 'h_f = f · L / D · v² / (2 g)',
  symbols: {
    factor: ['f', 'friction factor'],
    length: ['L', 'length of the pipe'],
    diameter: ['D', 'inside or hydraulic diameter'],
    velocity: ['v', 'mean velocity'],
  },
  source: { document: 'general hydraulics', place: 'Darcy and Weisbach', basis: 'from memory' },
  value: ({ factor, length, diameter, velocity }) => (factor * length * velocity * velocity) / (diameter * 2 * GRAVITY),
  partials: ({ factor, length, diameter, velocity }) => {
    const head = (factor * length * velocity * velocity) / (diameter * 2 * GRAVITY)
    return {
      factor: head / factor,
      length: head / length,
      diameter: -head / diameter,
      velocity: (factor * length * velocity) / (diameter * GRAVITY),
    }
  },
})
