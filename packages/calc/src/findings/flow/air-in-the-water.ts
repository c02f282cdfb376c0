import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const airInTheWater = defineFinding({
  id: 'air-in-the-water',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/seenInDischarge',
  decidedFrom: 'sheet',
  rule: 'Air or sand was seen in the discharge.',
  why: 'Air disturbs every flow method, and sand is a sign of a failing well.',
  needs: [],
  limits: [],
  raised: ({ airSeen, sandSeen }) => airSeen === true || sandSeen === true,
  message: ({ airSeen, sandSeen }) => {
    const seen = [airSeen === true ? 'air' : '', sandSeen === true ? 'sand' : ''].filter((what) => what !== '')
    return `In the discharge ${seen.join(' and ')} ${seen.length === 1 ? 'was' : 'were'} seen.`
  },
  remedy:
    'Tell the grower; look at the submergence of the pump, and for leaks on the suction side from where the guards allow it.',
  cautions: ['lock-out', 'rotating-shaft'],
  source: commonPractice('looking at the water belongs to the visit'),
  examples: {
    passes: [{ airSeen: false, sandSeen: false }, {}],
    raises: [{ airSeen: true, sandSeen: false }, { sandSeen: true }, { airSeen: true, sandSeen: true }],
  },
})
