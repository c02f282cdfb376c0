import { counted } from '../counted.ts'
import { defineFinding, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const traverseImplausiblyFast = defineFinding({
  id: 'traverse-implausibly-fast',
  group: 'time',
  severity: 'caution',
  place: '/runs/*/flow/traverseDuration',
  decidedFrom: 'sheet',
  rule: 'The traverse took less time for each point than it takes to set the tube and let the columns settle.',
  why: 'Columns that are still moving give readings that don’t belong to the point.',
  needs: ['traverseDuration', 'pointCount'],
  limits: ['minPerPoint'],
  raised: ({ traverseDuration, pointCount }, limits) => fallsShort(traverseDuration, limits.minPerPoint * pointCount),
  message: ({ traverseDuration, pointCount }, say, limits) =>
    `${counted(pointCount, 'point')} in ${say.time(traverseDuration)} is ${say.time(traverseDuration / pointCount)} for each; at least ${say.time(limits.minPerPoint)} is expected.`,
  remedy:
    'Look at the unit of the duration. If it is right, repeat the traverse and wait at each point until the columns stand still.',
  cautions: ['drilling-pressurised-pipe'],
  source: ourJudgement('moving and locking the tube alone takes about five seconds'),
  examples: {
    passes: [
      { traverseDuration: 100, pointCount: 20 },
      { traverseDuration: 660, pointCount: 20 },
    ],
    raises: [{ traverseDuration: 11, pointCount: 20 }],
  },
})
