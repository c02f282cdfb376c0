import { defineFinding, exceeds } from '../finding.ts'
import { commonPractice } from '../sources.ts'

export const wallVelocityAboveCentre = defineFinding({
  id: 'wall-velocity-above-centre',
  group: 'flow',
  severity: 'hold',
  place: '/runs/*/flow/diameters',
  decidedFrom: 'sheet',
  rule: 'A point next to the wall is faster than the middle of the pipe.',
  why: 'No pipe profile looks like this: points may be written in another order, or a jet runs along the wall.',
  needs: ['largestWallVelocity', 'centreVelocity'],
  limits: [],
  raised: ({ largestWallVelocity, centreVelocity }) => exceeds(largestWallVelocity, centreVelocity),
  message: ({ largestWallVelocity, centreVelocity }, say) =>
    `${say.velocity(largestWallVelocity)} was read next to the wall and ${say.velocity(centreVelocity)} in the middle; the middle is expected to be faster.`,
  remedy: 'Compare the order of the points and the positions of the tube with the notes; traverse again if they agree.',
  cautions: ['drilling-pressurised-pipe'],
  source: commonPractice('velocity falls to zero at the wall'),
  examples: {
    passes: [
      { largestWallVelocity: 1.4, centreVelocity: 2 },
      { largestWallVelocity: 2, centreVelocity: 2 },
    ],
    raises: [{ largestWallVelocity: 2.1, centreVelocity: 2 }],
  },
})
