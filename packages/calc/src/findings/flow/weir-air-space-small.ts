import { defineFinding, fallsShort } from '../finding.ts'

export const weirAirSpaceSmall = defineFinding({
  id: 'weir-air-space-small',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/tailwaterBelowCrest',
  decidedFrom: 'sheet',
  rule: 'The water downstream stands close below the crest.',
  why: 'Without air under it the sheet of water is drawn to the plate and more flows than the formula says.',
  needs: ['weirHead', 'tailwaterBelowCrest'],
  limits: ['minAirSpace'],
  raised: ({ tailwaterBelowCrest }, limits) =>
    tailwaterBelowCrest > 0 && fallsShort(tailwaterBelowCrest, limits.minAirSpace),
  message: ({ tailwaterBelowCrest }, say, limits) =>
    `The water downstream stands only ${say.length(tailwaterBelowCrest)} below the crest; ${say.length(limits.minAirSpace)} is expected.`,
  remedy: 'Have air let under the falling water, or the water downstream lowered, by whoever runs the channel.',
  cautions: ['lifting-and-falls', 'alone'],
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 7 section 7 (0.2 ft below the notch)',
    basis: 'looked up',
  },
  examples: {
    passes: [
      { weirHead: 0.2, tailwaterBelowCrest: 0.06096 },
      { weirHead: 0.2, tailwaterBelowCrest: 0 },
    ],
    raises: [{ weirHead: 0.2, tailwaterBelowCrest: 0.06 }],
  },
})
