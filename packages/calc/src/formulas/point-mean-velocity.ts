/** Velocity read several times at one place. */

import { defineFormula } from '../formula.ts'
import { mean } from '../mean.ts'

/** Mean in m/s of the velocities of the repeats: never the root of the mean column. */
export const pointMeanVelocity = defineFormula({
  id: 'point-mean-velocity',
  title: 'Velocity, mean of the repeats',
  unit: 'm/s',
  inputs: { velocities: ['m/s'] },
  expression: 'v = Σ vᵢ / n',
  symbols: {
    velocities: ['vᵢ', 'velocity of each reading; n is their number'],
  },
  source: {
    document: 'ISO 3966:2008',
    place: 'mean of velocities, not of columns (item from memory)',
    basis: 'from memory',
  },
  value: ({ velocities }) => mean(velocities),
  partials: ({ velocities }) => ({ velocities: velocities.map(() => 1 / velocities.length) }),
})
