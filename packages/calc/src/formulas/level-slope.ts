/** How fast a water level moves. */
import { defineFormula } from '../formula.ts'

const meanOf = (values: readonly number[]): number => values.reduce((sum, each) => sum + each, 0) / values.length

/** Slope in m/s of the straight line through a series of levels, by least squares. */
export const levelSlope = defineFormula({
  id: 'level-slope',
  title: 'Trend of the level',
  unit: 'm/s',
  inputs: { times: ['s'], levels: ['m'] },
  expression: 'b = Σ (tᵢ − t̄)(hᵢ − h̄) / Σ (tᵢ − t̄)²',
  symbols: { times: ['tᵢ', 'time of each level'], levels: ['hᵢ', 'level at that time'] },
  validity: 'three levels or more at different times',
  source: { document: 'general statistics', place: 'least squares of a straight line', basis: 'derived' },
  value: ({ times, levels }) => slope(times, levels),
  partials: ({ times, levels }) => {
    const [t, h] = [meanOf(times), meanOf(levels)]
    const spread = times.reduce((sum, each) => sum + (each - t) * (each - t), 0)
    const b = slope(times, levels)
    return {
      times: times.map((each, i) => (levels[i]! - h - 2 * b * (each - t)) / spread),
      levels: times.map((each) => (each - t) / spread),
    }
  },
})

function slope(times: readonly number[], levels: readonly number[]): number {
  const [t, h] = [meanOf(times), meanOf(levels)]
  let product = 0
  let spread = 0
  for (let i = 0; i < times.length; i++) {
    product += (times[i]! - t) * (levels[i]! - h)
    spread += (times[i]! - t) * (times[i]! - t)
  }
  return product / spread
}
