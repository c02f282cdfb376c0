/** Local velocity from a pitot tube and a manometer. */
import { STANDARD_GRAVITY } from '../constants.ts'
import { defineFormula } from '../formula.ts'

/**
 * Local velocity in m/s from the tube's coefficient, the column difference in m and the manometer factor.
 * A reversed column is reversed flow: it keeps its sign. At zero the slope is infinite; it is given as zero,
 * and the uncertainty of a zero column is added to the velocity itself.
 */
export const pitotVelocity = defineFormula({
  id: 'pitot-velocity',
  title: 'Velocity at the point',
  unit: 'm/s',
  inputs: { coefficient: '1', column: 'm', factor: '1' },
  expression: 'v = C · √(2 g Δh k)',
  symbols: {
    coefficient: ['C', 'coefficient of the pitot tube'],
    column: ['Δh', 'difference of the manometer’s columns'],
    factor: ['k', 'factor of the manometer’s fluids'],
  },
  validity: 'Tube against the flow, velocity of 1 ft/s or more; a negative column is reversed flow.',
  source: {
    document: 'ISO 3966:2008',
    place: 'velocity from differential pressure (item from memory)',
    basis: 'from memory',
  },
  value: ({ coefficient, column, factor }) => {
    const speed = coefficient * Math.sqrt(2 * STANDARD_GRAVITY * Math.abs(column) * factor)
    return column < 0 ? -speed : speed
  },
  partials: ({ coefficient, column, factor }) => {
    const speed = coefficient * Math.sqrt(2 * STANDARD_GRAVITY * Math.abs(column) * factor)
    const value = column < 0 ? -speed : speed
    return {
      coefficient: value / coefficient,
      column: column === 0 ? 0 : value / (2 * column),
      factor: value / (2 * factor),
    }
  },
})
