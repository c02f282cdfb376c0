/** Flow through an orifice plate at the end of a level pipe. */
import { STANDARD_GRAVITY } from '../constants.ts'
import { defineFormula } from '../formula.ts'

/** Flow in m³/s from the coefficient, the area of the orifice in m² and the head over the pipe's centre in m. */
export const orificeFlow = defineFormula({
  id: 'orifice-flow',
  title: 'Flow through the orifice',
  unit: 'm3/s',
  inputs: { coefficient: '1', area: 'm2', head: 'm' },
  expression: 'Q = K · A_o · √(2 g h)',
  symbols: {
    coefficient: ['K', 'coefficient of the orifice in its pipe, with the velocity of approach'],
    area: ['A_o', 'area of the orifice'],
    head: ['h', 'water in the tube above the centre of the pipe'],
  },
  validity:
    'Orifice of 0.4 to 0.83 of the pipe’s diameter, level pipe that runs full, tube at least 24 in upstream; K is that of the plate.',
  source: {
    document: 'general hydraulics',
    place: 'Torricelli’s theorem with a coefficient of discharge',
    basis: 'derived',
  },
  value: ({ coefficient, area, head }) => coefficient * area * Math.sqrt(2 * STANDARD_GRAVITY * head),
  partials: ({ coefficient, area, head }) => {
    const speed = Math.sqrt(2 * STANDARD_GRAVITY * head)
    return { coefficient: area * speed, area: coefficient * speed, head: (coefficient * area * speed) / (2 * head) }
  },
})
