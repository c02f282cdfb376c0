/** Flow from a volume and the time it took. */
import { defineFormula } from '../formula.ts'

/** Flow in m³/s. */
export const totaliserFlow = defineFormula({
  id: 'totaliser-flow',
  title: 'Flow by the totaliser',
  unit: 'm3/s',
  inputs: { volume: 'm3', elapsed: 's' },
  expression: 'Q = V / t',
  symbols: {
    volume: ['V', 'volume between the readings'],
    elapsed: ['t', 'time between them'],
  },
  source: { document: 'common practice', place: 'volume over time', basis: 'common practice' },
  value: ({ volume, elapsed }) => volume / elapsed,
  partials: ({ volume, elapsed }) => ({ volume: 1 / elapsed, elapsed: -volume / (elapsed * elapsed) }),
})
