import { defineFinding } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const traverseOnOneDiameter = defineFinding({
  id: 'traverse-on-one-diameter',
  group: 'completeness',
  severity: 'caution',
  place: '/runs/*/flow/diameters',
  decidedFrom: 'sheet',
  rule: 'Only one diameter was traversed.',
  why: 'One diameter can’t show asymmetry at right angles to it.',
  needs: ['diameterCount'],
  limits: [],
  raised: ({ diameterCount }) => diameterCount === 1,
  message: () =>
    'One diameter was traversed, where two at right angles are expected; the uncertainty of flow was widened.',
  remedy:
    'Traverse a second diameter at right angles where a second tapping exists. A new tapping is for people who know the pipe and are qualified to make one.',
  cautions: ['drilling-pressurised-pipe'],
  source: fromMemory('ISO 3966:2008', 'traverses on at least two diameters at right angles'),
  examples: {
    passes: [{ diameterCount: 2 }, { diameterCount: 3 }],
    raises: [{ diameterCount: 1 }],
  },
})
