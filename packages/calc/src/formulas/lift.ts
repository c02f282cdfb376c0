/** Vertical distance the water is raised to the discharge. */
import { defineFormula } from '../formula.ts'

/** Lift in m: pumping water level below the level datum and height of the discharge centre above it. */
export const lift = defineFormula({
  id: 'lift',
  title: 'Lift',
  unit: 'm',
  inputs: { pumpingLevel: 'm', dischargeCentre: 'm' },
  expression: 'L = h_p + z_d',
  symbols: {
    pumpingLevel: ['h_p', 'pumping water level below the datum'],
    dischargeCentre: ['z_d', 'discharge centre above the datum'],
  },
  validity: 'Levels below one datum, positive down.',
  source: { document: 'common practice', place: 'lift of a pumped well', basis: 'common practice' },
  value: ({ pumpingLevel, dischargeCentre }) => pumpingLevel + dischargeCentre,
  partials: () => ({ pumpingLevel: 1, dischargeCentre: 1 }),
})
