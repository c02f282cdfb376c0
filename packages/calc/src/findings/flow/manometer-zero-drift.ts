import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const manometerZeroDrift = defineFinding({
  id: 'manometer-zero-drift',
  group: 'flow',
  severity: 'caution',
  place: '/runs/*/flow/manometer',
  decidedFrom: 'sheet',
  rule: 'The zero of the manometer before and after the traverse differs by more than a share of the median column.',
  why: 'Air in a hose shifts every point the same way.',
  needs: ['manometerZeroDrift', 'medianColumn'],
  limits: ['maxDriftShare'],
  raised: ({ manometerZeroDrift, medianColumn }, limits) =>
    exceeds(Math.abs(manometerZeroDrift), limits.maxDriftShare * Math.abs(medianColumn)),
  message: ({ manometerZeroDrift, medianColumn }, say, limits) =>
    `The zero of the manometer moved by ${say.shortLength(manometerZeroDrift)} during the traverse; at most ${say.percent(limits.maxDriftShare)} of the median column of ${say.shortLength(medianColumn)} is expected.`,
  remedy: 'Purge the hoses of air, read the zero and repeat the traverse.',
  cautions: ['drilling-pressurised-pipe', 'pressure-and-hammer'],
  source: ourJudgement('three percent of a column is one and a half percent of velocity'),
  examples: {
    passes: [
      { manometerZeroDrift: 0.003, medianColumn: 0.1 },
      { manometerZeroDrift: -0.003, medianColumn: 0.1 },
      { manometerZeroDrift: 0.003, medianColumn: -0.1 },
    ],
    raises: [
      { manometerZeroDrift: 0.0031, medianColumn: 0.1 },
      { manometerZeroDrift: -0.0031, medianColumn: 0.1 },
    ],
  },
})
