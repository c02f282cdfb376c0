/** Inside diameter from outside diameter, wall and lining. */
import { defineFormula } from '../formula.ts'

/** Inside diameter in m of a pipe measured from outside. */
export const diameterFromOutside = defineFormula({
  id: 'diameter-from-outside',
  title: 'Inside diameter',
  unit: 'm',
  inputs: { outside: 'm', wall: 'm', lining: 'm' },
  expression: 'D = OD − 2 w − 2 lining',
  symbols: {
    outside: ['OD', 'outside diameter'],
    wall: ['w', 'wall thickness'],
    lining: ['lining', 'thickness of the lining'],
  },
  source: { document: 'general geometry', place: 'diameters of a pipe', basis: 'derived' },
  value: ({ outside, wall, lining }) => outside - 2 * wall - 2 * lining,
  partials: () => ({ outside: 1, wall: -2, lining: -2 }),
})
