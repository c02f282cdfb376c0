import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const levelBelowWellBottom = defineFinding({
  id: 'level-below-well-bottom',
  group: 'levels',
  severity: 'reject',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'context',
  rule: 'A water level is deeper than the well.',
  why: 'No well holds water below its bottom: a unit, the plant or its record is not the right one.',
  needs: ['wellDepth'],
  limits: [],
  raised: ({ wellDepth, pumpingLevel, standingLevel }) =>
    (pumpingLevel !== undefined && exceeds(pumpingLevel, wellDepth)) ||
    (standingLevel !== undefined && exceeds(standingLevel, wellDepth)),
  message: ({ wellDepth, pumpingLevel = Number.NEGATIVE_INFINITY, standingLevel = Number.NEGATIVE_INFINITY }, say) => {
    const which = pumpingLevel >= standingLevel ? 'pumping' : 'standing'
    return `The ${which} level was read at ${say.length(Math.max(pumpingLevel, standingLevel))}; the well is ${say.length(wellDepth)} deep.`
  },
  remedy: 'Look at the unit of the level, at the code of the plant, and at the depth of the well on record.',
  source: commonPractice('plain geometry'),
  spoils: ['pumping-water-level', 'standing-water-level'],
  examples: {
    passes: [{ wellDepth: 90, pumpingLevel: 90, standingLevel: 36 }, { wellDepth: 90 }],
    raises: [
      { wellDepth: 90, pumpingLevel: 141 },
      { wellDepth: 90, pumpingLevel: 43, standingLevel: 118 },
    ],
  },
})
