/** Volume of a liquid fuel at the temperature to which its heating value belongs. */
import { defineFormula } from '../formula.ts'

/** 60 °F in degrees Celsius, the base temperature of fuel sold by volume. */
export const BASE_TEMPERATURE_C = (60 - 32) / 1.8

/** Volume in m³ at 60 °F: warm fuel holds less in a gallon. */
export const liquidFuelAtBase = defineFormula({
  id: 'liquid-fuel-at-base',
  title: 'Volume of the fuel at 60 °F',
  unit: 'm3',
  inputs: { volume: 'm3', expansion: '1/K', temperature: 'degC' },
  expression: 'V_b = V · (1 − α · (T − T_b))',
  symbols: {
    volume: ['V', 'volume as measured'],
    expansion: ['α', 'thermal expansion of the fuel'],
    temperature: ['T', 'temperature of the fuel; T_b is 60 °F'],
  },
  validity: 'within about 40 K of 60 °F, where the next term is below a thousandth',
  source: {
    document: 'API Manual of Petroleum Measurement Standards, chapter 11.1 (ASTM D1250)',
    place: 'correction of volume for temperature, its linear term',
    basis: 'from memory',
  },
  value: ({ volume, expansion, temperature }) => volume * (1 - expansion * (temperature - BASE_TEMPERATURE_C)),
  partials: ({ volume, expansion, temperature }) => ({
    volume: 1 - expansion * (temperature - BASE_TEMPERATURE_C),
    expansion: -volume * (temperature - BASE_TEMPERATURE_C),
    temperature: -volume * expansion,
  }),
})
