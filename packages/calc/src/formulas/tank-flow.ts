/** Flow from the time in which a volume was filled. */
import { defineFormula } from '../formula.ts'

/** Flow in m³/s from a volume in m³ and a time in s. */
export const tankFlow = defineFormula({
  id: 'tank-flow',
  title: 'Flow into the tank',
  unit: 'm3/s',
  inputs: { volume: 'm3', elapsed: 's' },
  expression: 'Q = V / t',
  symbols: { volume: ['V', 'volume filled'], elapsed: ['t', 'time of filling'] },
  source: { document: 'common practice', place: 'volume over time', basis: 'common practice' },
  value: ({ volume, elapsed }) => volume / elapsed,
  partials: ({ volume, elapsed }) => ({ volume: 1 / elapsed, elapsed: -volume / (elapsed * elapsed) }),
})
