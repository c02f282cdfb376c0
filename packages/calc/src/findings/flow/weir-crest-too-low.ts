import { defineFinding, exceeds } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const weirCrestTooLow = defineFinding({
  id: 'weir-crest-too-low',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/crestHeight',
  decidedFrom: 'sheet',
  rule: 'The head is large against the height of the crest above the floor.',
  why: 'A shallow pool brings the water with a velocity that the formula does not know.',
  needs: ['weirHead', 'weirCrestHeight'],
  limits: ['maxHeadToCrest'],
  raised: ({ weirHead, weirCrestHeight }, limits) => exceeds(weirHead / weirCrestHeight, limits.maxHeadToCrest),
  message: ({ weirHead, weirCrestHeight }, say, limits) =>
    `The head is ${say.number(weirHead / weirCrestHeight)} of the height of the crest; at most ${say.number(limits.maxHeadToCrest)} is expected.`,
  remedy:
    'Have the pool before the weir deepened by whoever looks after the channel, or measure flow by another method.',
  cautions: ['lifting-and-falls', 'alone'],
  source: fromMemory('ISO 1438:2017', 'limits of fully contracted triangular notches'),
  examples: {
    passes: [{ weirHead: 0.2, weirCrestHeight: 0.5 }],
    raises: [{ weirHead: 0.21, weirCrestHeight: 0.5 }],
  },
})
