import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

/** Standard uncertainties of the level that are granted before it counts as below the bowls. */
const COVERAGE = 2

export const pumpingLevelBelowBowls = defineFinding({
  id: 'pumping-level-below-bowls',
  group: 'levels',
  severity: 'reject',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'context',
  rule: 'The pumping level lies below the bowls of the pump.',
  why: 'A pump does not stay primed with its bowls above the water.',
  needs: ['bowlDepth', 'pumpingLevel', 'pumpingLevelU'],
  limits: [],
  raised: ({ bowlDepth, pumpingLevel, pumpingLevelU }) => exceeds(pumpingLevel - COVERAGE * pumpingLevelU, bowlDepth),
  message: ({ bowlDepth, pumpingLevel }, say) =>
    `The pumping level was read at ${say.length(pumpingLevel)}, but the record has the bowls at ${say.length(bowlDepth)}; they are expected to be under water.`,
  remedy: 'Read the level again and look at its unit; compare the recorded setting of the bowls with the last repair.',
  cautions: ['well-and-contamination', 'well-head'],
  source: commonPractice('plain geometry'),
  spoils: ['pumping-water-level'],
  silences: ['submergence-small'],
  examples: {
    passes: [
      { bowlDepth: 60, pumpingLevel: 43.2, pumpingLevelU: 0.02 },
      { bowlDepth: 60, pumpingLevel: 60.04, pumpingLevelU: 0.02 },
    ],
    raises: [
      { bowlDepth: 60, pumpingLevel: 60.05, pumpingLevelU: 0.02 },
      { bowlDepth: 60, pumpingLevel: 143, pumpingLevelU: 0.07 },
    ],
  },
})
