/** Mean velocity from the velocity at one place in the pipe. */
import { defineFormula } from '../formula.ts'

/** Mean velocity in m/s: velocity at the sensor times the ratio of the mean velocity to it. */
export const profileVelocity = defineFormula({
  id: 'profile-velocity',
  title: 'Mean velocity by the profile factor',
  unit: 'm/s',
  inputs: { velocity: 'm/s', factor: '1' },
  expression: 'v_m = F · v',
  symbols: {
    velocity: ['v', 'velocity at the sensor'],
    factor: ['F', 'profile factor'],
  },
  source: {
    document: 'common practice',
    place: 'an insertion meter is given its profile factor',
    basis: 'common practice',
  },
  value: ({ velocity, factor }) => velocity * factor,
  partials: ({ velocity, factor }) => ({ velocity: factor, factor: velocity }),
})
