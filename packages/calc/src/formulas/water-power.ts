/** Water power: the rate at which the plant does useful work on the water. In the trade's units it is called water horsepower. */
import { STANDARD_GRAVITY } from '../constants.ts'
import { defineFormula } from '../formula.ts'

/** Water power in W from flow in m³/s, head in m and water density in kg/m³. */
export const waterPower = defineFormula({
  id: 'water-power',
  title: 'Water power',
  unit: 'W',
  inputs: { density: 'kg/m3', flow: 'm3/s', head: 'm' },
  expression: 'P_w = ρ · g · Q · H',
  symbols: {
    density: ['ρ', 'density of the water'],
    flow: ['Q', 'flow'],
    head: ['H', 'total dynamic head'],
  },
  source: { document: 'ISO 9906:2012', place: 'pump power output (item from memory)', basis: 'from memory' },

  value: ({ density, flow, head }) => density * STANDARD_GRAVITY * flow * head,

  // Written out rather than derived: a reader checks each line against the expression.
  partials: ({ density, flow, head }) => ({
    density: STANDARD_GRAVITY * flow * head,
    flow: density * STANDARD_GRAVITY * head,
    head: density * STANDARD_GRAVITY * flow,
  }),
})
