/** Water level from the pressure of the water above the lower end of an air line, or above a sensor. */
import { STANDARD_GRAVITY as GRAVITY } from '../constants.ts'
import { defineFormula } from '../formula.ts'

/** Depth in m below the upper end of the line: its length less the column that the gauge pressure carries. */
export const levelFromPressure = defineFormula({
  id: 'level-from-pressure',
  title: 'Water level by an air line or a sensor under water',
  unit: 'm',
  inputs: { length: 'm', pressure: 'Pa', density: 'kg/m3' },
  expression: 'h = y − p / (ρ · g)',
  symbols: {
    length: ['y', 'from the gauge or measuring point down to the end of the line or the sensor'],
    pressure: ['p', 'pressure of the water at that end'],
    density: ['ρ', 'density of the water'],
  },
  validity: 'the end of the line, or the sensor, under water',
  source: { document: 'common practice', place: 'a gauge pressure carries a column of water', basis: 'derived' },
  value: ({ length, pressure, density }) => length - pressure / (density * GRAVITY),
  partials: ({ pressure, density }) => ({
    length: 1,
    pressure: -1 / (density * GRAVITY),
    density: pressure / (density * density * GRAVITY),
  }),
})
