import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const suctionLiftLarge = defineFinding({
  id: 'suction-lift-large',
  group: 'pressure',
  severity: 'caution',
  place: '/runs/*/suction',
  decidedFrom: 'sheet',
  rule: 'The suction lift is larger than pumps usually manage.',
  why: 'Air leaks and cavitation are likely, or the reading is not right.',
  needs: ['suctionHead'],
  limits: ['maxSuctionLift'],
  raised: ({ suctionHead }, limits) => exceeds(-suctionHead, limits.maxSuctionLift),
  message: ({ suctionHead }, say, limits) =>
    `The suction lift is ${say.length(-suctionHead)}; more than ${say.length(limits.maxSuctionLift)} is unusual.`,
  remedy:
    'Look at the sign and at the height of the water surface, and listen for cavitation from where the guards allow it.',
  cautions: ['lock-out', 'rotating-shaft', 'lifting-and-falls'],
  source: commonPractice('practical suction lift of 15 to 25 ft, less at altitude'),
  examples: {
    passes: [{ suctionHead: -6.096 }, { suctionHead: 13 }],
    raises: [{ suctionHead: -6.2 }],
  },
})
