/** How far repeated powers lie apart. */
import { defineFormula } from '../formula.ts'

/** Largest less smallest power of the repeats, divided by their mean. */
export const timingSpread = defineFormula({
  id: 'timing-spread',
  title: 'Spread of the repeated powers',
  unit: '1',
  inputs: { powers: ['W'] },
  expression: 'r = (max Pᵢ − min Pᵢ) / (Σ Pᵢ / n)',
  symbols: {
    powers: ['Pᵢ', 'power of each timing; n is their number'],
  },
  source: { document: 'common practice', place: 'repeatability of timings', basis: 'common practice' },
  value: ({ powers }) => {
    const { largest, smallest, mean } = ends(powers)
    return (powers[largest]! - powers[smallest]!) / mean
  },
  partials: ({ powers }) => {
    const { largest, smallest, mean } = ends(powers)
    const n = powers.length
    const spread = (powers[largest]! - powers[smallest]!) / mean
    return {
      powers: powers.map((_, i) => ((i === largest ? 1 : 0) - (i === smallest ? 1 : 0) - spread / n) / mean),
    }
  },
})

function ends(powers: readonly number[]): { largest: number; smallest: number; mean: number } {
  let largest = 0
  let smallest = 0
  let sum = 0
  for (let i = 0; i < powers.length; i++) {
    if (powers[i]! > powers[largest]!) largest = i
    if (powers[i]! < powers[smallest]!) smallest = i
    sum += powers[i]!
  }
  return { largest, smallest, mean: sum / powers.length }
}
