/** Density of water from its temperature. */
import { defineFormula } from '../formula.ts'

/** Coefficients of the numerator in powers of the temperature in °C. */
const A = [999.83952, 16.945176, -7.9870401e-3, -46.170461e-6, 105.56302e-9, -280.54253e-12] as const
const B = 16.87985e-3

/** Density of air-free water at one atmosphere in kg/m³ from its temperature in °C, 0 to 100 °C. */
export const waterDensity = defineFormula({
  id: 'water-density',
  title: 'Density of the water',
  unit: 'kg/m3',
  inputs: { temperature: 'degC' },
  expression:
    'ρ = (999.83952 + 16.945176 t − 7.9870401e-3 t² − 46.170461e-6 t³ + 105.56302e-9 t⁴ − 280.54253e-12 t⁵) / (1 + 16.87985e-3 t)',
  symbols: {
    temperature: ['t', 'temperature of the water'],
  },
  validity: '0 to 40 °C at atmospheric pressure, air-free water; dissolved solids are not counted.',
  source: {
    document: 'Kell, J. Chem. Eng. Data 20, 97 (1975)',
    place: 'density of water, as quoted in Laliberté 2009',
    basis: 'looked up',
  },

  value: ({ temperature: t }) => (A[0] + t * (A[1] + t * (A[2] + t * (A[3] + t * (A[4] + t * A[5]))))) / (1 + B * t),

  // Quotient rule.
  partials: ({ temperature: t }) => {
    const numerator = A[0] + t * (A[1] + t * (A[2] + t * (A[3] + t * (A[4] + t * A[5]))))
    const slope = A[1] + t * (2 * A[2] + t * (3 * A[3] + t * (4 * A[4] + t * 5 * A[5])))
    const denominator = 1 + B * t
    return { temperature: (slope - (numerator / denominator) * B) / denominator }
  },
})
