import { defineFinding, exceeds } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const flumeSubmerged = defineFinding({
  id: 'flume-submerged',
  group: 'flow',
  severity: 'reject',
  place: '/runs/*/flow/downstreamHead',
  decidedFrom: 'sheet',
  rule: 'The ratio of the heads is above the free-flow limit of the flume’s size.',
  why: 'The water downstream holds the flow back; the head upstream alone no longer tells it.',
  needs: ['flumeSubmergence', 'flumeFreeUpTo'],
  limits: [],
  raised: ({ flumeSubmergence, flumeFreeUpTo }) => exceeds(flumeSubmergence, flumeFreeUpTo),
  message: ({ flumeSubmergence, flumeFreeUpTo }, say) =>
    `The head downstream is ${say.number(flumeSubmergence)} of that upstream; free flow needs at most ${say.number(flumeFreeUpTo)}.`,
  remedy: 'Have the ditch downstream cleared by whoever looks after it, or measure flow by another method.',
  cautions: ['lifting-and-falls', 'alone'],
  source: fromMemory(
    'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    'ch. 8 (0.5, 0.6, 0.7, 0.8 by size)',
  ),
  spoils: ['flow'],
  examples: {
    passes: [{ flumeSubmergence: 0.7, flumeFreeUpTo: 0.7 }],
    raises: [{ flumeSubmergence: 0.71, flumeFreeUpTo: 0.7 }],
  },
})
