/** Energy for each unit of water and head if nothing were lost. */
import { STANDARD_GRAVITY } from '../constants.ts'
import { defineFormula } from '../formula.ts'

/** Weight of a unit volume of water: the least energy in J/m³/m. */
export const leastEnergyPerVolumeAndHead = defineFormula({
  id: 'least-energy-per-volume-and-head',
  title: 'Least possible energy per volume and head',
  unit: 'J/m3/m',
  inputs: { density: 'kg/m3' },
  expression: 'e_min = ρ · g',
  symbols: {
    density: ['ρ', 'density of the water'],
  },
  source: { document: 'general science', place: 'work of raising a weight', basis: 'derived' },
  value: ({ density }) => density * STANDARD_GRAVITY,
  partials: () => ({ density: STANDARD_GRAVITY }),
})
