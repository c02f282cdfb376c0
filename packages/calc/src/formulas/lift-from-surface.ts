/** Lift of a booster that draws from an open surface. */
import { defineFormula } from '../formula.ts'

/** Lift in m: the negative of the suction head; negative where the suction is flooded. */
export const liftFromSurface = defineFormula({
  id: 'lift-from-surface',
  title: 'Lift from the open surface',
  unit: 'm',
  inputs: { suctionHead: 'm' },
  expression: 'L = −H_s',
  symbols: {
    suctionHead: ['H_s', 'suction head above the discharge centre'],
  },
  source: {
    document: 'common practice',
    place: 'lift of a pump that draws from an open surface',
    basis: 'common practice',
  },
  value: ({ suctionHead }) => -suctionHead,
  partials: () => ({ suctionHead: -1 }),
})
