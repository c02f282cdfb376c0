import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const submergenceSmall = defineFinding({
  id: 'submergence-small',
  group: 'levels',
  severity: 'caution',
  place: '/runs/*/pumpingLevel',
  decidedFrom: 'context',
  rule: 'Little water stands above the bowls while pumping.',
  why: 'The pump may draw air, and the result holds only until the level falls further.',
  needs: ['bowlDepth', 'pumpingLevel'],
  limits: ['minSubmergence'],
  raised: ({ bowlDepth, pumpingLevel }, limits) => fallsShort(bowlDepth - pumpingLevel, limits.minSubmergence),
  message: ({ bowlDepth, pumpingLevel }, say, limits) => {
    const submergence = bowlDepth - pumpingLevel
    const read =
      submergence < 0
        ? `The pumping level was read ${say.length(-submergence)} below the recorded depth of the bowls, which is within its uncertainty`
        : `${say.length(submergence)} of water stood above the bowls while pumping`
    return `${read}; at least ${say.length(limits.minSubmergence)} is expected.`
  },
  remedy:
    'Look for air in the discharge, compare the recorded setting of the bowls, and tell the grower how little water stands above the pump.',
  cautions: ['lock-out', 'well-and-contamination'],
  source: ourJudgement('several feet are usual over line-shaft bowls; the suction head that the pump needs decides'),
  examples: {
    passes: [
      { bowlDepth: 61.524, pumpingLevel: 60 },
      { bowlDepth: 60, pumpingLevel: 43.2 },
    ],
    raises: [
      { bowlDepth: 61.5, pumpingLevel: 60 },
      { bowlDepth: 60, pumpingLevel: 60 },
      { bowlDepth: 60, pumpingLevel: 60.03 },
    ],
  },
})
