/** All the head a booster gives the water, between its taps. */
import { defineFormula } from '../formula.ts'

/** Total dynamic head in m: what moves in at the suction tap is not the booster’s doing. */
export const boosterTotalHead = defineFormula({
  id: 'booster-total-head',
  title: 'Total dynamic head',
  unit: 'm',
  inputs: { fieldHead: 'm', velocityHead: 'm', suctionVelocityHead: 'm' },
  expression: 'H = H_f + h_vd − h_vs',
  symbols: {
    fieldHead: ['H_f', 'head without velocity heads'],
    velocityHead: ['h_vd', 'velocity head at the discharge tap'],
    suctionVelocityHead: ['h_vs', 'velocity head at the suction tap'],
  },
  source: { document: 'ISO 9906:2012', place: 'definition of total head (item from memory)', basis: 'from memory' },
  value: ({ fieldHead, velocityHead, suctionVelocityHead }) => fieldHead + velocityHead - suctionVelocityHead,
  partials: () => ({ fieldHead: 1, velocityHead: 1, suctionVelocityHead: -1 }),
})
