import { defineFinding, exceeds, fallsShort } from '../finding.ts'
import { ourJudgement } from '../sources.ts'

export const energyRateImplausible = defineFinding({
  id: 'energy-rate-implausible',
  group: 'results',
  severity: 'caution',
  place: '/economics/energyRate',
  decidedFrom: 'sheet',
  scope: 'visit',
  rule: 'The price of energy is outside its usual span.',
  why: 'Cents were taken for dollars, or a monthly sum for a price.',
  needs: ['usdPerKwh'],
  limits: ['minEnergyRate', 'maxEnergyRate'],
  raised: ({ usdPerKwh }, limits) =>
    fallsShort(usdPerKwh, limits.minEnergyRate) || exceeds(usdPerKwh, limits.maxEnergyRate),
  message: ({ usdPerKwh }, say, limits) =>
    `A price of ${say.number(usdPerKwh)} USD/kWh was given; ${say.number(limits.minEnergyRate)} to ${say.number(limits.maxEnergyRate)} is usual.`,
  remedy: 'Look at the unit of the price on the bill.',
  source: ourJudgement(
    'wide enough for any tariff with demand charges spread over energy; other currencies are not judged',
  ),
  examples: {
    passes: [{ usdPerKwh: 0.02 }, { usdPerKwh: 0.8 }, { usdPerKwh: 0.16 }],
    raises: [{ usdPerKwh: 16 }, { usdPerKwh: 0.001 }],
  },
})
