/** Head of a gauge pressure. */
import { STANDARD_GRAVITY } from '../constants.ts'
import { defineFormula } from '../formula.ts'

/** Height in m of a water column of the pressure in Pa and density in kg/m³. */
export const pressureHead = defineFormula({
  id: 'pressure-head',
  title: 'Head of the pressure',
  unit: 'm',
  inputs: { pressure: 'Pa', density: 'kg/m3' },
  expression: 'h = p / (ρ · g)',
  symbols: {
    pressure: ['p', 'gauge pressure'],
    density: ['ρ', 'density of the water'],
  },
  validity: 'Gauge line full of water.',
  source: { document: 'ISO 9906:2012', place: 'definitions of head (item from memory)', basis: 'from memory' },
  value: ({ pressure, density }) => pressure / (density * STANDARD_GRAVITY),
  partials: ({ pressure, density }) => ({
    pressure: 1 / (density * STANDARD_GRAVITY),
    density: -pressure / (density * density * STANDARD_GRAVITY),
  }),
})
