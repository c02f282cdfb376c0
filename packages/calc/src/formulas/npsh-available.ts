/** Head above boiling that the water has at the impeller. */
import { STANDARD_GRAVITY as GRAVITY } from '../constants.ts'
import { defineFormula } from '../formula.ts'

/** Net positive suction head available, in m; losses between the source and the impeller are not taken off. */
export const npshAvailable = defineFormula({
  id: 'npsh-available',
  title: 'Net positive suction head available',
  unit: 'm',
  inputs: { barometricPressure: 'Pa', vapourPressure: 'Pa', density: 'kg/m3', head: 'm' },
  expression: 'NPSH = (p_a − p_v) / (ρ · g) + H_e',
  symbols: {
    barometricPressure: ['p_a', 'pressure of the air'],
    vapourPressure: ['p_v', 'vapour pressure of the water'],
    density: ['ρ', 'density of the water'],
    head: ['H_e', 'head at the impeller, or water over the bowls'],
  },
  validity: 'losses of strainer and suction pipe left out: the impeller has somewhat less',
  source: { document: 'ISO 9906:2012', place: 'definition of NPSH', basis: 'from memory' },
  value: ({ barometricPressure, vapourPressure, density, head }) =>
    (barometricPressure - vapourPressure) / (density * GRAVITY) + head,
  partials: ({ barometricPressure, vapourPressure, density }) => ({
    barometricPressure: 1 / (density * GRAVITY),
    vapourPressure: -1 / (density * GRAVITY),
    density: -(barometricPressure - vapourPressure) / (density * density * GRAVITY),
    head: 1,
  }),
})
