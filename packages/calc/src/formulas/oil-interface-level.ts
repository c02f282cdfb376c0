/** Level of the water without the oil on it, from where oil and water meet. */
import { defineFormula } from '../formula.ts'

/** Depth in m: the probe answers where oil and water meet, below the level that water alone would have. */
export const oilInterfaceLevel = defineFormula({
  id: 'oil-interface-level',
  title: 'Water level without the oil, from the lower face of the oil',
  unit: 'm',
  inputs: { reached: 'm', thickness: 'm', relativeDensity: '1' },
  expression: 'h = h_i − S · t',
  symbols: {
    reached: ['h_i', 'depth at which oil and water meet'],
    thickness: ['t', 'thickness of the oil'],
    relativeDensity: ['S', 'density of the oil relative to water'],
  },
  source: { document: 'general hydraulics', place: 'equal pressure under oil and under water', basis: 'derived' },
  value: ({ reached, thickness, relativeDensity }) => reached - relativeDensity * thickness,
  partials: ({ thickness, relativeDensity }) => ({
    reached: 1,
    thickness: -relativeDensity,
    relativeDensity: -thickness,
  }),
})
