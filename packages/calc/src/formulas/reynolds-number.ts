/** Inertia beside viscosity of a flow. */
import { defineFormula } from '../formula.ts'

/** Reynolds number of a pipe. */
export const reynoldsNumber = defineFormula({
  id: 'reynolds-number',
  title: 'Reynolds number',
  unit: '1',
  inputs: { velocity: 'm/s', diameter: 'm', viscosity: 'm2/s' },
  expression: 'Re = v · D / ν',
  symbols: {
    velocity: ['v', 'mean velocity'],
    diameter: ['D', 'inside or hydraulic diameter'],
    viscosity: ['ν', 'kinematic viscosity'],
  },
  source: { document: 'general hydraulics', place: 'definition', basis: 'derived' },
  value: ({ velocity, diameter, viscosity }) => (velocity * diameter) / viscosity,
  partials: ({ velocity, diameter, viscosity }) => ({
    velocity: diameter / viscosity,
    diameter: velocity / viscosity,
    viscosity: (-velocity * diameter) / (viscosity * viscosity),
  }),
})
