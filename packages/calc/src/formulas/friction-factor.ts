/** Friction factor of a pipe. */
import { logarithm } from '../elementary.ts'
import { defineFormula } from '../formula.ts'

const LN10 = logarithm(10)
const LAMINAR_UP_TO = 2000
const TURBULENT_FROM = 4000

/** 1/√f of Colebrook, by fixed point: each step brings two digits or more. */
function colebrook(reynolds: number, roughness: number): number {
  let x = 8
  for (let step = 0; step < 100; step++) {
    const next = (-2 * logarithm(roughness / 3.7 + (2.51 * x) / reynolds)) / LN10
    if (Math.abs(next - x) <= 1e-14 * x) return next
    x = next
  }
  return x
}

function turbulent(reynolds: number, roughness: number) {
  const x = colebrook(reynolds, roughness)
  const inside = roughness / 3.7 + (2.51 * x) / reynolds
  const slope = 2 / (LN10 * inside)
  const own = 1 + (slope * 2.51) / reynolds
  const byReynolds = (slope * 2.51 * x) / (reynolds * reynolds) / own
  const byRoughness = -slope / 3.7 / own
  const cube = -2 / (x * x * x)
  return { f: 1 / (x * x), reynolds: cube * byReynolds, roughness: cube * byRoughness }
}

/** Friction factor f of Darcy and Weisbach: laminar below Re 2000, Colebrook above 4000, straight between. */
export const frictionFactor = defineFormula({
  id: 'friction-factor',
  title: 'Friction factor of the pipe',
  unit: '1',
  inputs: { reynolds: '1', roughness: '1' },
  expression: '1/√f = −2 · log₁₀(k / 3.7 + 2.51 / (Re · √f)) from Re 4000; f = 64/Re to Re 2000; straight between',
  symbols: { reynolds: ['Re', 'Reynolds number'], roughness: ['k', 'roughness of the wall relative to the diameter'] },
  validity: 'relative roughness up to 0.05',
  source: {
    document: 'Colebrook, J. Inst. Civil Engineers 11 (1939) 133',
    place: 'transition formula',
    basis: 'from memory',
  },
  value: ({ reynolds, roughness }) => {
    if (reynolds <= LAMINAR_UP_TO) return 64 / reynolds
    if (reynolds >= TURBULENT_FROM) return turbulent(reynolds, roughness).f
    const share = (reynolds - LAMINAR_UP_TO) / (TURBULENT_FROM - LAMINAR_UP_TO)
    return (1 - share) * (64 / LAMINAR_UP_TO) + share * turbulent(TURBULENT_FROM, roughness).f
  },
  partials: ({ reynolds, roughness }) => {
    if (reynolds <= LAMINAR_UP_TO) return { reynolds: -64 / (reynolds * reynolds), roughness: 0 }
    if (reynolds >= TURBULENT_FROM) {
      const at = turbulent(reynolds, roughness)
      return { reynolds: at.reynolds, roughness: at.roughness }
    }
    const width = TURBULENT_FROM - LAMINAR_UP_TO
    const at = turbulent(TURBULENT_FROM, roughness)
    return {
      reynolds: (at.f - 64 / LAMINAR_UP_TO) / width,
      roughness: ((reynolds - LAMINAR_UP_TO) / width) * at.roughness,
    }
  },
})
