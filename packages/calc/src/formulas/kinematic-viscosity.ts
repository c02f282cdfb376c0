/** How thickly water flows. */
import { power } from '../elementary.ts'
import { defineFormula } from '../formula.ts'

const TERMS = [
  [280.68, -1.9],
  [511.45, -7.7],
  [61.131, -19.6],
  [0.45903, -40],
] as const

/** Kinematic viscosity in m²/s of water at 0.1 MPa. */
export const kinematicViscosity = defineFormula({
  id: 'kinematic-viscosity',
  title: 'Kinematic viscosity of the water',
  unit: 'm2/s',
  inputs: { temperature: 'degC', density: 'kg/m3' },
  expression: 'ν = 10⁻⁶ · (280.68 τ^−1.9 + 511.45 τ^−7.7 + 61.131 τ^−19.6 + 0.45903 τ^−40) / ρ, τ = (T + 273.15) / 300',
  symbols: { temperature: ['T', 'temperature of the water'], density: ['ρ', 'density of the water'] },
  validity: '−20 to 110 °C',
  source: {
    document: 'IAPWS SR6-08(2011), after Pátek et al., J. Phys. Chem. Ref. Data 38 (2009) 21',
    place: 'viscosity at 0.1 MPa',
    basis: 'from memory',
  },
  value: ({ temperature, density }) => {
    const tau = (temperature + 273.15) / 300
    return (1e-6 * TERMS.reduce((sum, [a, b]) => sum + a * power(tau, b), 0)) / density
  },
  partials: ({ temperature, density }) => {
    const tau = (temperature + 273.15) / 300
    const dynamic = 1e-6 * TERMS.reduce((sum, [a, b]) => sum + a * power(tau, b), 0)
    const slope = 1e-6 * TERMS.reduce((sum, [a, b]) => sum + (a * b * power(tau, b)) / tau, 0)
    return { temperature: slope / 300 / density, density: -dynamic / (density * density) }
  },
})
