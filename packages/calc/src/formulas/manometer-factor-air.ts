/** What part of a column of water balances the velocity head, with air above the water. */
import { defineFormula } from '../formula.ts'

/** Ratio of velocity head to column difference for air over water. */
export const manometerFactorAir = defineFormula({
  id: 'manometer-factor-air',
  title: 'Manometer factor, air over water',
  unit: '1',
  inputs: { airDensity: 'kg/m3', density: 'kg/m3' },
  expression: 'k = 1 − ρ_a / ρ',
  symbols: {
    airDensity: ['ρ_a', 'density of the air in the manometer'],
    density: ['ρ', 'density of the water'],
  },
  source: {
    document: 'ISO 3966:2008',
    place: 'differential pressure of a liquid column (item from memory)',
    basis: 'from memory',
  },
  value: ({ airDensity, density }) => 1 - airDensity / density,
  partials: ({ airDensity, density }) => ({ airDensity: -1 / density, density: airDensity / (density * density) }),
})
