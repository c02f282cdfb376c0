import { defineFinding, fallsShort } from '../finding.ts'
import { fromMemory } from '../sources.ts'

export const suctionBelowVacuum = defineFinding({
  id: 'suction-below-vacuum',
  group: 'pressure',
  severity: 'reject',
  place: '/runs/*/suction',
  decidedFrom: 'sheet',
  rule: 'The suction pressure is lower than a full vacuum.',
  why: 'There is no such pressure; a sign or a unit is not right.',
  needs: ['suctionPressure'],
  limits: ['fullVacuum'],
  raised: ({ suctionPressure }, limits) => fallsShort(suctionPressure, limits.fullVacuum),
  message: ({ suctionPressure }, say, limits) =>
    `A suction pressure of ${say.pressure(suctionPressure)} was read; a full vacuum is ${say.pressure(limits.fullVacuum)}.`,
  remedy: 'Look at unit and sign: a vacuum in inches of mercury is a negative pressure and ends near 30 inHg.',
  source: fromMemory(
    'ISO 2533',
    'standard atmosphere at sea level; water boils before that, so the limit is a generous one',
  ),
  spoils: ['suction-head'],
  silences: ['suction-gauge-disagrees-with-surface'],
  examples: {
    passes: [{ suctionPressure: -101_325 }, { suctionPressure: 127e3 }],
    raises: [{ suctionPressure: -101_400 }],
  },
})
