import { defineFinding, exceeds, fallsShort } from '../finding.ts'

export const weirHeadLargeForCrestLength = defineFinding({
  id: 'weir-head-large-for-crest-length',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/head',
  decidedFrom: 'sheet',
  rule: 'The head on a rectangular or Cipolletti weir is small, or more than a third of its crest.',
  why: 'The formulas were found between these heads; outside them they drift.',
  needs: ['weirHead', 'weirCrestLength'],
  limits: ['minWeirHead', 'maxHeadToLength'],
  raised: ({ weirHead, weirCrestLength }, limits) =>
    fallsShort(weirHead, limits.minWeirHead) || exceeds(weirHead / weirCrestLength, limits.maxHeadToLength),
  message: ({ weirHead, weirCrestLength }, say, limits) =>
    `The head is ${say.length(weirHead)} on a crest of ${say.length(weirCrestLength)}; ${say.length(limits.minWeirHead)} to a third of the crest is expected.`,
  remedy: 'Use a weir that fits the flow.',
  cautions: ['lifting-and-falls', 'alone'],
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 7 section 12 (Cipolletti; same limits taken for rectangular weirs)',
    basis: 'looked up',
  },
  examples: {
    passes: [
      { weirHead: 0.06096, weirCrestLength: 1 },
      { weirHead: 0.3, weirCrestLength: 0.9 },
    ],
    raises: [
      { weirHead: 0.05, weirCrestLength: 1 },
      { weirHead: 0.31, weirCrestLength: 0.9 },
    ],
  },
})
