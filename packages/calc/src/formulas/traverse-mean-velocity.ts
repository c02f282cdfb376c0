/** Mean velocity over the pipe from a traverse whose points stand for equal areas. */
import { defineFormula } from '../formula.ts'

/** Mean in m/s over all points of all diameters; each stands for the same area. */
export const traverseMeanVelocity = defineFormula({
  id: 'traverse-mean-velocity',
  title: 'Mean velocity in the pipe',
  unit: 'm/s',
  inputs: { velocities: ['m/s'] },
  expression: 'v_m = Σ vᵢ / n',
  symbols: {
    velocities: ['vᵢ', 'velocity at each point; n is their number'],
  },
  validity: 'Points of equal weight: positions by the rule of the traverse.',
  source: {
    document: '40 CFR 60, appendix A-1, Method 1',
    place: 'equal-area traverse, table 1-2',
    basis: 'looked up',
  },
  value: ({ velocities }) => {
    let sum = 0
    for (const velocity of velocities) sum += velocity
    return sum / velocities.length
  },
  partials: ({ velocities }) => ({ velocities: velocities.map(() => 1 / velocities.length) }),
})
