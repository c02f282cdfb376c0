import { counted } from '../counted.ts'
import { defineFinding, fallsShort } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const traversePointsTooFew = defineFinding({
  id: 'traverse-points-too-few',
  group: 'completeness',
  severity: 'hold',
  place: '/runs/*/flow/diameters',
  decidedFrom: 'sheet',
  rule: 'A diameter was traversed at fewer points than the smallest accepted number.',
  why: 'Too few points integrate the profile badly; the error of the method grows beyond one percent.',
  needs: ['fewestPoints'],
  limits: ['minPointsPerDiameter'],
  raised: ({ fewestPoints }, limits) => fallsShort(fewestPoints, limits.minPointsPerDiameter),
  message: ({ fewestPoints }, say, limits) =>
    `A diameter was traversed at ${counted(fewestPoints, 'point')}; at least ${say.number(limits.minPointsPerDiameter)} are expected.`,
  remedy: 'Read the traverse with more points in the same run, or measure flow by another method.',
  cautions: ['drilling-pressurised-pipe'],
  source: fromMemory('ISO 3966:2008', 'at least three points on each radius'),
  examples: {
    passes: [{ fewestPoints: 6 }, { fewestPoints: 10 }],
    raises: [{ fewestPoints: 5 }, { fewestPoints: 1 }],
  },
})
