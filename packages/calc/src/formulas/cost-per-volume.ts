/** What the energy for a unit of water costs. */
import { defineFormula } from '../formula.ts'

/** Cost per m³ in the currency of the rate (per J) from energy per volume in J/m³. */
export const costPerVolume = defineFormula({
  id: 'cost-per-volume',
  title: 'Energy cost per volume of water',
  unit: 'currency/m3',
  inputs: { energyPerVolume: 'J/m3', rate: 'currency/J' },
  expression: 'c = e · rate',
  symbols: {
    energyPerVolume: ['e', 'energy per volume of water'],
    rate: ['rate', 'price of energy'],
  },
  source: { document: 'general science', place: 'definition', basis: 'derived' },
  value: ({ energyPerVolume, rate }) => energyPerVolume * rate,
  partials: ({ energyPerVolume, rate }) => ({ energyPerVolume: rate, rate: energyPerVolume }),
})
