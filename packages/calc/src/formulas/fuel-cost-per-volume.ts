/** What the fuel for a volume of water costs. */
import { defineFormula } from '../formula.ts'

/** Cost per m³ of water, in the currency of the price of the fuel. */
export const fuelCostPerVolume = defineFormula({
  id: 'fuel-cost-per-volume',
  title: 'Cost of the fuel per volume of water',
  unit: 'currency/m3',
  inputs: { fuelPerVolume: '1', price: 'currency/m3' },
  expression: 'c = f · r',
  symbols: { fuelPerVolume: ['f', 'fuel per volume of water'], price: ['r', 'price of the fuel'] },
  source: { document: 'general science', place: 'price times amount', basis: 'derived' },
  value: ({ fuelPerVolume, price }) => fuelPerVolume * price,
  partials: ({ fuelPerVolume, price }) => ({ fuelPerVolume: price, price: fuelPerVolume }),
})
