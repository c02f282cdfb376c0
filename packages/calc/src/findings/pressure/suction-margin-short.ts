import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const suctionMarginShort = defineFinding({
  id: 'suction-margin-short',
  group: 'pressure',
  severity: 'caution',
  place: '/runs/*',
  decidedFrom: 'context',
  rule: 'The suction head available leaves too little over what the pump asks for.',
  why: 'The pump cavitates; a repair of the pump will not cure it.',
  needs: ['npshAvailable', 'npshRequired'],
  limits: ['minSuctionMargin'],
  raised: ({ npshAvailable, npshRequired }, limits) =>
    fallsShort(npshAvailable, npshRequired + limits.minSuctionMargin),
  message: ({ npshAvailable, npshRequired }, say, limits) =>
    `A suction head of ${say.length(npshAvailable)} is available at the impeller; the pump asks for ${say.length(npshRequired)}, and ${say.length(limits.minSuctionMargin)} more is expected.`,
  remedy:
    'Have the suction side, or the depth of the bowls, looked at before the pump; work on either is for licensed people, with the pump locked out.',
  cautions: ['lock-out', 'rotating-shaft', 'lifting-and-falls'],
  source: ourJudgement('at the figure asked for head has already dropped by 3 percent (definition of ISO 9906, 2012)'),
  examples: {
    passes: [
      { npshAvailable: 5 + 0.6096, npshRequired: 5 },
      { npshAvailable: 12, npshRequired: 4 },
    ],
    raises: [{ npshAvailable: 5.6, npshRequired: 5 }],
  },
})
