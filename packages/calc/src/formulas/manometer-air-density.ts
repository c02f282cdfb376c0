/** Density of the air enclosed in an inverted manometer. */
import { GAS_CONSTANT_OF_AIR, MANOMETER_AIR_TEMPERATURE, STANDARD_ATMOSPHERE } from '../constants.ts'
import { defineFormula } from '../formula.ts'

const RT = GAS_CONSTANT_OF_AIR * MANOMETER_AIR_TEMPERATURE

/** Density of air in kg/m³ at the gauge pressure of the pipe in Pa and 15 °C. */
export const manometerAirDensity = defineFormula({
  id: 'manometer-air-density',
  title: 'Density of the air in the manometer',
  unit: 'kg/m3',
  inputs: { pressure: 'Pa' },
  expression: 'ρ_a = (101325 + p) / (287.05 · 288.15)',
  symbols: {
    pressure: ['p', 'gauge pressure in the manometer'],
  },
  validity: 'Air at 15 °C and sea level above the gauge pressure.',
  source: {
    document: 'ISO 2533:1975',
    place: 'perfect gas law of the standard atmosphere (item from memory)',
    basis: 'from memory',
  },
  value: ({ pressure }) => (STANDARD_ATMOSPHERE + pressure) / RT,
  partials: () => ({ pressure: 1 / RT }),
})
