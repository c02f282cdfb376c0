import { defineFinding, exceeds, fallsShort } from '../finding.ts'

export const verticalJetBetweenRanges = defineFinding({
  id: 'vertical-jet-between-ranges',
  group: 'flow',
  severity: 'reject',
  place: '/runs/*/flow/height',
  decidedFrom: 'sheet',
  rule: 'The height of a vertical jet lies between the two ranges with formulas.',
  why: 'Between them considerably less flows than either formula gives.',
  needs: ['jetHeight', 'jetHeightRatio', 'pipeDiameter'],
  limits: ['overflowHeight', 'jetHeight'],
  raised: ({ jetHeightRatio }, limits) =>
    exceeds(jetHeightRatio, limits.overflowHeight) && fallsShort(jetHeightRatio, limits.jetHeight),
  message: ({ jetHeight, pipeDiameter }, say) =>
    `The jet rises ${say.shortLength(jetHeight)} over a pipe of ${say.shortLength(pipeDiameter)}; no formula holds there.`,
  remedy: 'Measure flow by another method.',
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 14 section 13',
    basis: 'looked up',
  },
  spoils: ['flow'],
  examples: {
    passes: [
      { jetHeight: 0.074, jetHeightRatio: 0.37, pipeDiameter: 0.2 },
      { jetHeight: 0.28, jetHeightRatio: 1.4, pipeDiameter: 0.2 },
    ],
    raises: [
      { jetHeight: 0.076, jetHeightRatio: 0.38, pipeDiameter: 0.2 },
      { jetHeight: 0.27, jetHeightRatio: 1.39, pipeDiameter: 0.2 },
    ],
  },
})
