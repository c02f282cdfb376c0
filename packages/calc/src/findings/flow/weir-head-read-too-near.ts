import { defineFinding, fallsShort } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const weirHeadReadTooNear = defineFinding({
  id: 'weir-head-read-too-near',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/headDistance',
  decidedFrom: 'sheet',
  rule: 'The head was read too close to the plate.',
  why: 'The surface dips towards the crest, so that the head reads too small.',
  needs: ['weirHead', 'weirHeadDistance'],
  limits: ['minHeadDistance'],
  raised: ({ weirHead, weirHeadDistance }, limits) => fallsShort(weirHeadDistance / weirHead, limits.minHeadDistance),
  message: ({ weirHead, weirHeadDistance }, say, limits) =>
    `The head was read ${say.length(weirHeadDistance)} from the plate; at least ${say.length(limits.minHeadDistance * weirHead)} is expected.`,
  remedy: 'Read it farther upstream, or in a stilling well, where that needs no leaning over the water.',
  cautions: ['lifting-and-falls', 'alone'],
  source: fromMemory(
    'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    'ch. 7, at least four times the head upstream',
  ),
  examples: {
    passes: [{ weirHead: 0.25, weirHeadDistance: 1 }],
    raises: [{ weirHead: 0.25, weirHeadDistance: 0.99 }],
  },
})
