/** Pressure at the lower end of an air line. */
import { STANDARD_GRAVITY } from '../constants.ts'
import { defineFormula } from '../formula.ts'

/** Gauge pressure in Pa at the end of the line: what the gauge shows and the weight of the air in the line. */
export const airLineEndPressure = defineFormula({
  id: 'air-line-end-pressure',
  title: 'Pressure at the end of the air line',
  unit: 'Pa',
  inputs: { pressure: 'Pa', airDensity: 'kg/m3', length: 'm' },
  expression: 'p_e = p + ρ_a g y',
  symbols: {
    pressure: ['p', 'pressure on the gauge at the upper end'],
    airDensity: ['ρ_a', 'density of the air in the line'],
    length: ['y', 'length of the line'],
  },
  validity: 'A length that was found from a sounded level holds the weight of the air already; it is not added then.',
  source: { document: 'hydrostatics', place: 'weight of the air column in the line', basis: 'derived' },
  value: ({ pressure, airDensity, length }) => pressure + airDensity * STANDARD_GRAVITY * length,
  partials: ({ airDensity, length }) => ({
    pressure: 1,
    airDensity: STANDARD_GRAVITY * length,
    length: airDensity * STANDARD_GRAVITY,
  }),
})
