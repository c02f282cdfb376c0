import { defineFinding, exceeds, fallsShort } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const flumeHeadOutOfRange = defineFinding({
  id: 'flume-head-out-of-range',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/flow/head',
  decidedFrom: 'sheet',
  rule: 'The head is outside the range of the flume’s size.',
  why: 'The coefficients of a size hold for the heads at which it was calibrated.',
  needs: ['flumeHead', 'flumeHeadMin', 'flumeHeadMax', 'flumeThroat'],
  limits: [],
  raised: ({ flumeHead, flumeHeadMin, flumeHeadMax }) =>
    fallsShort(flumeHead, flumeHeadMin) || exceeds(flumeHead, flumeHeadMax),
  message: ({ flumeHead, flumeHeadMin, flumeHeadMax, flumeThroat }, say) =>
    `The head ${say.length(flumeHead)} is outside ${say.length(flumeHeadMin)} to ${say.length(flumeHeadMax)} of a flume with a throat of ${say.length(flumeThroat)}.`,
  remedy: 'Use another flume or another method.',
  cautions: ['lifting-and-falls', 'alone'],
  source: fromMemory('US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001', 'ch. 8, ranges by size'),
  examples: {
    passes: [
      { flumeHead: 0.03048, flumeHeadMin: 0.03048, flumeHeadMax: 0.762, flumeThroat: 0.3048 },
      { flumeHead: 0.762, flumeHeadMin: 0.03048, flumeHeadMax: 0.762, flumeThroat: 0.3048 },
    ],
    raises: [
      { flumeHead: 0.03, flumeHeadMin: 0.03048, flumeHeadMax: 0.762, flumeThroat: 0.3048 },
      { flumeHead: 0.77, flumeHeadMin: 0.03048, flumeHeadMax: 0.762, flumeThroat: 0.3048 },
    ],
  },
})
