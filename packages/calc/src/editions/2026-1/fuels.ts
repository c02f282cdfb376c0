/** Fuels of edition 2026-1: higher heating values, by which fuel is sold, and expansion of the liquid ones. */
import type { Fuel, FuelDeclaration } from '../edition.ts'
import { lookedUp, practice, remembered } from './sources.ts'

const CONVERSIONS = 'US Energy Information Administration, Units and calculators explained'
const VOLUME_CORRECTION = 'API Manual of Petroleum Measurement Standards, chapter 11.1'

export const fuels: Readonly<Record<Fuel, FuelDeclaration>> = {
  diesel: {
    title: 'diesel',
    heatingValue: { value: 137_381, unit: 'Btu/gal', source: lookedUp(CONVERSIONS, 'diesel fuel, 2021') },
    expansion: { value: 0.00084, source: remembered(VOLUME_CORRECTION, 'fuel oils of about 835 kg/m³') },
  },
  gasoline: {
    title: 'gasoline',
    heatingValue: { value: 120_214, unit: 'Btu/gal', source: lookedUp(CONVERSIONS, 'finished motor gasoline, 2022') },
    expansion: { value: 0.00122, source: remembered(VOLUME_CORRECTION, 'gasolines of about 740 kg/m³') },
  },
  propane: {
    title: 'propane',
    heatingValue: { value: 91_452, unit: 'Btu/gal', source: remembered(CONVERSIONS, 'propane') },
    expansion: { value: 0.003, source: practice('0.0016 to 0.0017 for a degree Fahrenheit') },
  },
  'natural-gas': {
    title: 'natural gas',
    heatingValue: { value: 1036, unit: 'Btu/ft3', source: remembered(CONVERSIONS, 'natural gas, mean of a year') },
  },
}
