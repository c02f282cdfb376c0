import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const suctionReadingMissing = defineFinding({
  id: 'suction-reading-missing',
  group: 'completeness',
  severity: 'reject',
  place: '/runs/*/suction',
  decidedFrom: 'sheet',
  promisedBy: ['full'],
  rule: 'A run at a booster has neither a suction pressure nor the height of an open water surface.',
  why: 'The head of a booster is the difference between discharge and suction; one side alone says nothing.',
  needs: ['plantKind'],
  limits: [],
  raised: ({ plantKind, suctionHead, suctionPressure, sourceSurfaceHeight }) =>
    plantKind === 'booster' &&
    suctionHead === undefined &&
    suctionPressure === undefined &&
    sourceSurfaceHeight === undefined,
  message: () =>
    'Nothing was read on the suction side of this booster; head needs a suction pressure or the height of the water surface.',
  remedy:
    'Read the gauge at the suction tap, a vacuum as a negative pressure; or measure from the discharge centre to the water surface where that needs no leaning over. If neither can be done safely, list the reading as left out, with the reason.',
  cautions: ['pressure-and-hammer', 'chemigation', 'lifting-and-falls'],
  source: commonPractice('total head of a booster is counted between suction and discharge'),
  absenceOf: 'suction',
  spoils: ['suction-head'],
  examples: {
    passes: [
      { plantKind: 'booster', suctionPressure: 127e3 },
      { plantKind: 'booster', sourceSurfaceHeight: -2.9 },
      { plantKind: 'well' },
    ],
    raises: [{ plantKind: 'booster' }],
  },
})
