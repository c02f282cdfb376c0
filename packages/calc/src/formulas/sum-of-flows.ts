/** Flow of a plant that delivers through several pipes. */
import { defineFormula } from '../formula.ts'

/** Flow in m³/s: the sum of the flows in all pipes; water that runs back counts with its sign. */
export const sumOfFlows = defineFormula({
  id: 'sum-of-flows',
  title: 'Flow of all pipes',
  unit: 'm3/s',
  inputs: { flows: ['m3/s'] },
  expression: 'Q = Σ Qᵢ',
  source: { document: 'general hydraulics', place: 'continuity: what leaves a plant adds up', basis: 'derived' },
  symbols: { flows: ['Qᵢ', 'flow in one of the pipes'] },
  validity: 'All flows are read in one run, at one duty, and no water is counted twice.',
  value: ({ flows }) => {
    let sum = 0
    for (const flow of flows) sum += flow
    return sum
  },
  partials: ({ flows }) => ({ flows: flows.map(() => 1) }),
})
