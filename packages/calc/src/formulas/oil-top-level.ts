/** Level of the water without the oil on it, from the top of the oil. */
import { defineFormula } from '../formula.ts'

/** Depth in m: the top of the oil stands above the level that water alone would have. */
export const oilTopLevel = defineFormula({
  id: 'oil-top-level',
  title: 'Water level without the oil, from the top of the oil',
  unit: 'm',
  inputs: { reached: 'm', thickness: 'm', relativeDensity: '1' },
  expression: 'h = h_o + (1 − S) · t',
  symbols: {
    reached: ['h_o', 'depth of the top of the oil'],
    thickness: ['t', 'thickness of the oil'],
    relativeDensity: ['S', 'density of the oil relative to water'],
  },
  source: { document: 'general hydraulics', place: 'equal pressure under oil and under water', basis: 'derived' },
  value: ({ reached, thickness, relativeDensity }) => reached + (1 - relativeDensity) * thickness,
  partials: ({ thickness, relativeDensity }) => ({
    reached: 1,
    thickness: 1 - relativeDensity,
    relativeDensity: -thickness,
  }),
})
