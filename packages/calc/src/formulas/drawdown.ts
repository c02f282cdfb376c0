/** How far pumping lowers the water in the well. */
import { defineFormula } from '../formula.ts'

/** Drawdown in m from the pumping and the standing water level, both below the level datum. */
export const drawdown = defineFormula({
  id: 'drawdown',
  title: 'Drawdown',
  unit: 'm',
  inputs: { pumpingLevel: 'm', standingLevel: 'm' },
  expression: 's = h_p − h_s',
  symbols: {
    pumpingLevel: ['h_p', 'pumping water level'],
    standingLevel: ['h_s', 'standing water level'],
  },
  source: { document: 'common practice', place: 'definition of drawdown', basis: 'common practice' },
  value: ({ pumpingLevel, standingLevel }) => pumpingLevel - standingLevel,
  partials: () => ({ pumpingLevel: 1, standingLevel: -1 }),
})
