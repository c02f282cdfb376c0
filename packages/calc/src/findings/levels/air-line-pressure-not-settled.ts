import { defineFinding, exceeds } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const airLinePressureNotSettled = defineFinding({
  id: 'air-line-pressure-not-settled',
  group: 'levels',
  severity: 'caution',
  place: '/runs/*/pumpingLevel/pressures',
  decidedFrom: 'sheet',
  rule: 'Repeats of the air-line pressure differ by more than the limit.',
  why: 'The line was not blown free to its end, or it leaks.',
  needs: ['airLineSpread'],
  limits: ['maxAirLineSpread'],
  raised: ({ airLineSpread }, limits) => exceeds(airLineSpread, limits.maxAirLineSpread),
  message: ({ airLineSpread }, say, limits) =>
    `Repeats of the air line differ by ${say.length(airLineSpread)} of water; up to ${say.length(limits.maxAirLineSpread)} is usual.`,
  remedy:
    'Blow air, with no more pressure than line and gauge stand, until the needle stops rising; close, and read when it stands still.',
  cautions: ['compressed-gas', 'pressure-and-hammer'],
  source: ourJudgement('twice the usual uncertainty of an air line'),
  examples: { passes: [{ airLineSpread: 0.3048 }, { airLineSpread: 0 }], raises: [{ airLineSpread: 0.31 }] },
})
