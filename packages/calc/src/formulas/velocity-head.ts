/** Head that the moving water carries. */
import { STANDARD_GRAVITY } from '../constants.ts'
import { defineFormula } from '../formula.ts'

/** Velocity head in m from the mean velocity in m/s. */
export const velocityHead = defineFormula({
  id: 'velocity-head',
  title: 'Velocity head',
  unit: 'm',
  inputs: { velocity: 'm/s' },
  expression: 'h_v = v² / (2 g)',
  symbols: {
    velocity: ['v', 'mean velocity'],
  },
  validity: 'Mean velocity over a full section; no correction for the profile.',
  source: { document: 'ISO 9906:2012', place: 'definitions of head (item from memory)', basis: 'from memory' },
  value: ({ velocity }) => (velocity * velocity) / (2 * STANDARD_GRAVITY),
  partials: ({ velocity }) => ({ velocity: velocity / STANDARD_GRAVITY }),
})
