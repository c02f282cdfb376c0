/** Flow over a thin-plate V-notch weir. */

import { PI, STANDARD_GRAVITY } from '../constants.ts'
import { power, sine, tangent } from '../elementary.ts'
import { defineFormula } from '../formula.ts'

const FOOT = 0.3048
const RIGHT_ANGLE = PI / 2
const K = (8 / 15) * Math.sqrt(2 * STANDARD_GRAVITY)

interface NotchFit {
  readonly coefficient: number
  readonly correction: number
  /** Changes with the angle in degrees. */
  readonly coefficientSlope: number
  readonly correctionSlope: number
}

/** Discharge coefficient, and correction of the head in m, of a notch of that angle in degrees. */
function notchFit(degrees: number): NotchFit {
  if (Math.abs(degrees - 90) < 0.01)
    return { coefficient: 0.578, correction: 0.00085, coefficientSlope: 0, correctionSlope: 0 }
  return {
    coefficient: 0.607165052 - 0.000874466963 * degrees + 6.10393334e-6 * power(degrees, 2),
    correction:
      FOOT *
      (0.0144902648 - 0.00033955535 * degrees + 3.29819003e-6 * power(degrees, 2) - 1.06215442e-8 * power(degrees, 3)),
    coefficientSlope: -0.000874466963 + 2 * 6.10393334e-6 * degrees,
    correctionSlope: FOOT * (-0.00033955535 + 2 * 3.29819003e-6 * degrees - 3 * 1.06215442e-8 * power(degrees, 2)),
  }
}

const degreesOf = (angle: number): number => (angle / RIGHT_ANGLE) * 90

/** Flow in m³/s from the angle of the notch in rad and the head over its vertex in m (Kindsvater and Shen). */
export const vNotchFlow = defineFormula({
  id: 'v-notch-flow',
  title: 'Flow over the V-notch',
  unit: 'm3/s',
  inputs: { angle: 'rad', head: 'm' },
  expression: 'Q = 8/15 · C_e · √(2 g) · tan(θ/2) · (h + k_h)^2.5',
  symbols: { angle: ['θ', 'angle of the notch'], head: ['h', 'head over the vertex, read upstream'] },
  validity:
    'Notches of 25° to 100°, heads of 0.2 ft to 1.25 ft, free and ventilated. C_e and k_h: 0.578 and 0.85 mm at 90°, else fitted to the curves of the source.',
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 7 section 7 (range); fits of C_e and k_h from memory',
    basis: 'from memory',
  },
  value: ({ angle, head }) => {
    const { coefficient, correction } = notchFit(degreesOf(angle))
    return K * coefficient * tangent(angle / 2) * power(head + correction, 2.5)
  },
  partials: ({ angle, head }) => {
    const { coefficient, correction, coefficientSlope, correctionSlope } = notchFit(degreesOf(angle))
    const flow = K * coefficient * tangent(angle / 2) * power(head + correction, 2.5)
    const perRadian = 90 / RIGHT_ANGLE
    return {
      angle:
        flow *
        (1 / sine(angle) +
          (coefficientSlope / coefficient) * perRadian +
          ((2.5 * correctionSlope) / (head + correction)) * perRadian),
      head: (2.5 * flow) / (head + correction),
    }
  },
})
