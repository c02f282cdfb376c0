import { defineFinding } from '../finding.ts'

export const traversePointsOdd = defineFinding({
  id: 'traverse-points-odd',
  group: 'completeness',
  severity: 'hold',
  place: '/runs/*/flow/diameters',
  decidedFrom: 'sheet',
  rule: 'A diameter has an odd number of points, although an equal-area traverse has as many on one side of the centre as on the other.',
  why: 'A point is missing or too many, so the others no longer stand for equal areas.',
  needs: ['oddPointCount'],
  limits: [],
  raised: ({ oddPointCount }) => oddPointCount,
  message: () =>
    'A diameter has an odd number of points; an equal-area traverse has the same number on both sides of the centre, and the centre is not one of them.',
  remedy:
    'Compare with the notes of the traverse: add the point that is missing, or give the centre reading in its own place. If in doubt, traverse the diameter again.',
  cautions: ['drilling-pressurised-pipe'],
  source: {
    document: '40 CFR 60, appendix A-1, Method 1',
    place: 'table 1-2 gives even numbers of points on a diameter only; to hold the test for it is our judgement',
    basis: 'our judgement',
  },
  examples: {
    passes: [{ oddPointCount: false }],
    raises: [{ oddPointCount: true }],
  },
})
