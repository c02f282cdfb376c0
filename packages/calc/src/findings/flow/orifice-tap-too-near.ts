import { defineFinding, fallsShort } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const orificeTapTooNear = defineFinding({
  id: 'orifice-tap-too-near',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/tapDistance',
  decidedFrom: 'sheet',
  rule: 'The tube is too close to the plate.',
  why: 'Close to the plate the pressure already falls with the water that speeds up.',
  needs: ['orificeHead', 'orificeTapDistance'],
  limits: ['minTapDistance'],
  raised: ({ orificeTapDistance }, limits) => fallsShort(orificeTapDistance, limits.minTapDistance),
  message: ({ orificeTapDistance }, say, limits) =>
    `The tube is ${say.shortLength(orificeTapDistance)} from the plate; ${say.shortLength(limits.minTapDistance)} is usual.`,
  remedy:
    'Fit it at the distance at which the plate was calibrated, with the pump stopped and locked and the line empty.',
  cautions: ['lock-out', 'pressure-and-hammer'],
  source: commonPractice('24 in upstream'),
  examples: {
    passes: [{ orificeHead: 0.5, orificeTapDistance: 0.6096 }],
    raises: [{ orificeHead: 0.5, orificeTapDistance: 0.6 }],
  },
})
