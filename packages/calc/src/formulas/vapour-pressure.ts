/** Pressure at which water boils. */
import { defineFormula } from '../formula.ts'

const N = [
  1167.0521452767, -724213.16703206, -17.073846940092, 12020.82470247, -3232555.0322333, 14.91510861353,
  -4823.2657361591, 405113.40542057, -0.23855557567849, 650.17534844798,
] as const

function terms(temperature: number) {
  const kelvin = temperature + 273.15
  const away = kelvin - N[9]
  const theta = kelvin + N[8] / away
  const a = theta * theta + N[0] * theta + N[1]
  const b = N[2] * theta * theta + N[3] * theta + N[4]
  const c = N[5] * theta * theta + N[6] * theta + N[7]
  const root = Math.sqrt(b * b - 4 * a * c)
  return { away, theta, a, b, c, root, y: (2 * c) / (root - b) }
}

/** Vapour pressure in Pa of water at a temperature in °C. */
export const vapourPressure = defineFormula({
  id: 'vapour-pressure',
  title: 'Vapour pressure of the water',
  unit: 'Pa',
  inputs: { temperature: 'degC' },
  expression: 'p_v = 10⁶ · (2C / (−B + √(B² − 4AC)))⁴, A, B, C quadratics of θ(T)',
  symbols: { temperature: ['T', 'temperature of the water; θ and the coefficients as in the source'] },
  validity: '0 to 373 °C',
  source: { document: 'IAPWS R7-97(2012)', place: 'equation 30, region 4', basis: 'from memory' },
  value: ({ temperature }) => {
    const { y } = terms(temperature)
    return 1e6 * y * y * y * y
  },
  partials: ({ temperature }) => {
    const { away, theta, a, b, c, root, y } = terms(temperature)
    const dTheta = 1 - N[8] / (away * away)
    const dA = (2 * theta + N[0]) * dTheta
    const dB = (2 * N[2] * theta + N[3]) * dTheta
    const dC = (2 * N[5] * theta + N[6]) * dTheta
    const dRoot = (b * dB - 2 * (a * dC + c * dA)) / root
    const dY = (2 * dC) / (root - b) - (2 * c * (dRoot - dB)) / ((root - b) * (root - b))
    return { temperature: 4e6 * y * y * y * dY }
  },
})
