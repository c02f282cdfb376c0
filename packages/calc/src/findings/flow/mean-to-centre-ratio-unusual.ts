import { defineFinding, exceeds, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const meanToCentreRatioUnusual = defineFinding({
  id: 'mean-to-centre-ratio-unusual',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/flow/diameters',
  decidedFrom: 'sheet',
  rule: 'Mean velocity divided by centre velocity is outside the usual span.',
  why: 'In a full pipe with turbulent flow the ratio is about 0.79 to 0.86; far from it a point is off or the profile is disturbed.',
  needs: ['meanVelocity', 'centreVelocity'],
  limits: ['minRatio', 'maxRatio'],
  raised: ({ meanVelocity, centreVelocity }, limits) =>
    fallsShort(meanVelocity, limits.minRatio * centreVelocity) ||
    exceeds(meanVelocity, limits.maxRatio * centreVelocity),
  message: ({ meanVelocity, centreVelocity }, say, limits) =>
    `The mean velocity is ${say.velocity(meanVelocity)} and the velocity in the middle ${say.velocity(centreVelocity)}; a mean between ${say.number(limits.minRatio)} and ${say.number(limits.maxRatio)} of the middle is expected.`,
  remedy:
    'Read the centre and its neighbours again; look at the zero of the manometer and at the alignment of the tube.',
  cautions: ['drilling-pressurised-pipe'],
  source: commonPractice('0.75 to 0.90; the power law gives 0.79 for exponent 1/6 and 0.87 for 1/10'),
  examples: {
    passes: [
      { meanVelocity: 1.5, centreVelocity: 2 },
      { meanVelocity: 1.8, centreVelocity: 2 },
      { meanVelocity: 1.64, centreVelocity: 2 },
    ],
    raises: [
      { meanVelocity: 1.49, centreVelocity: 2 },
      { meanVelocity: 1.81, centreVelocity: 2 },
      { meanVelocity: 1.64, centreVelocity: 0 },
    ],
  },
})
