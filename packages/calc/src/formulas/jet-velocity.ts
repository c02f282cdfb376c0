/** Velocity of water that leaves an open pipe, from the way its jet falls. */

import { STANDARD_GRAVITY } from '../constants.ts'
import { cosine, power, tangent } from '../elementary.ts'
import { defineFormula } from '../formula.ts'

/** Velocity in m/s: the jet falls `fall` m within `distance` m; `slope` in rad, upward positive, 0 for a level pipe. */
export const jetVelocity = defineFormula({
  id: 'jet-velocity',
  title: 'Velocity of the jet',
  unit: 'm/s',
  inputs: { distance: 'm', fall: 'm', slope: 'rad' },
  expression: 'v = X / (cos α · √(2 (X tan α + Y) / g))',
  symbols: {
    distance: ['X', 'horizontal distance from the mouth'],
    fall: ['Y', 'fall of the same streamline over that distance'],
    slope: ['α', 'slope of the pipe, upward positive'],
  },
  validity: 'Free jet into air; X and Y of one streamline, both from the top or both from the centre.',
  source: { document: 'general mechanics', place: 'a body thrown, without drag', basis: 'derived' },
  value: ({ distance, fall, slope }) =>
    distance / (cosine(slope) * Math.sqrt((2 * (distance * tangent(slope) + fall)) / STANDARD_GRAVITY)),
  partials: ({ distance, fall, slope }) => {
    const drop = distance * tangent(slope) + fall
    const velocity = distance / (cosine(slope) * Math.sqrt((2 * drop) / STANDARD_GRAVITY))
    return {
      distance: velocity * (1 / distance - tangent(slope) / (2 * drop)),
      fall: -velocity / (2 * drop),
      slope: velocity * (tangent(slope) - distance / (2 * drop * power(cosine(slope), 2))),
    }
  },
})
