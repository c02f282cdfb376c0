import { defineFinding } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const traversePointNegative = defineFinding({
  id: 'traverse-point-negative',
  group: 'flow',
  severity: 'reject',
  place: '/runs/*/flow/diameters',
  decidedFrom: 'sheet',
  rule: 'A point of the traverse shows flow backwards.',
  why: 'Behind bends water can run back along a wall; more often the two hoses are exchanged.',
  needs: ['smallestColumn'],
  limits: [],
  raised: ({ smallestColumn }) => smallestColumn < 0,
  message: ({ smallestColumn }, say) =>
    `A point shows ${say.shortLength(smallestColumn)}, that is flow backwards; zero or more is expected. It entered the mean with its sign.`,
  remedy:
    'Look at the hoses and at the alignment of the tube. If water really runs back there, use another existing tapping. A new tapping is for people qualified to make one.',
  cautions: ['drilling-pressurised-pipe'],
  source: commonPractice('a column below zero is flow against the tube'),
  spoils: ['flow'],
  examples: {
    passes: [{ smallestColumn: 0 }, { smallestColumn: 0.06 }],
    raises: [{ smallestColumn: -0.004 }],
  },
})
