import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const dischargeCentreHeightMissing = defineFinding({
  id: 'discharge-centre-height-missing',
  group: 'completeness',
  severity: 'caution',
  place: '/dischargeCentreAboveDatum',
  decidedFrom: 'sheet',
  promisedBy: ['full'],
  rule: 'A pumping level was read, but not the height of the discharge centre above the level datum.',
  why: 'Lift is counted to the discharge centre; each foot left out is a foot of head.',
  needs: ['pumpingLevel'],
  limits: [],
  raised: ({ dischargeCentreHeight }) => dischargeCentreHeight === undefined,
  message: ({ pumpingLevel }, say) =>
    `The water stood ${say.length(pumpingLevel)} below the level datum while pumping, but the height of the discharge centre above that datum was not given; zero was used.`,
  remedy:
    'Measure from the level datum up to the centre of the discharge pipe, negative if the pipe is lower, and add it.',
  absenceOf: 'discharge-centre-height',
  cautions: ['rotating-shaft'],
  source: commonPractice('lift is the height from the pumping water surface to the discharge'),
  examples: {
    passes: [
      { pumpingLevel: 43, dischargeCentreHeight: 0.6 },
      { pumpingLevel: 43, dischargeCentreHeight: 0 },
    ],
    raises: [{ pumpingLevel: 43 }],
  },
})
