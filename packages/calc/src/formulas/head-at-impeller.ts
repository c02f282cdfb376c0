/** Head of the water where the impeller takes it. */
import { defineFormula } from '../formula.ts'

/** Head in m above atmosphere at the eye of the impeller of a booster, velocity head included. */
export const headAtImpeller = defineFormula({
  id: 'head-at-impeller',
  title: 'Head at the impeller',
  unit: 'm',
  inputs: { suctionHead: 'm', velocityHead: 'm', impellerHeight: 'm' },
  expression: 'H_e = H_s + h_vs − z_e',
  symbols: {
    suctionHead: ['H_s', 'suction head above the discharge centre'],
    velocityHead: ['h_vs', 'velocity head at the suction tap, 0 at an open surface'],
    impellerHeight: ['z_e', 'eye of the impeller above the discharge centre'],
  },
  source: { document: 'ISO 9906:2012', place: 'definition of NPSH', basis: 'from memory' },
  value: ({ suctionHead, velocityHead, impellerHeight }) => suctionHead + velocityHead - impellerHeight,
  partials: () => ({ suctionHead: 1, velocityHead: 1, impellerHeight: -1 }),
})
