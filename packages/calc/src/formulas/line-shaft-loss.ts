/** What the bearings of a line shaft take. */
import { defineFormula } from '../formula.ts'

/** Power in W that a line shaft loses: it grows with speed, length and the square of its diameter. */
export const lineShaftLoss = defineFormula({
  id: 'line-shaft-loss',
  title: 'Power lost in the line shaft',
  unit: 'W',
  inputs: { friction: 'J/m3', speed: 'rev/s', diameter: 'm', length: 'm' },
  expression: 'P_ls = k · n · d² · L',
  symbols: {
    friction: ['k', 'friction of the shaft: power for speed, length and square of the diameter'],
    speed: ['n', 'speed of the shaft'],
    diameter: ['d', 'diameter of the shaft'],
    length: ['L', 'length of the shaft'],
  },
  validity: 'water- or oil-lubricated line shafts of deep-well turbine pumps',
  source: {
    document: 'Hydraulic Institute, mechanical friction of line shafts, as reprinted in a maker’s manual of 1985',
    place: 'power lost in 100 ft by diameter and speed; square of the diameter fitted to it',
    basis: 'looked up',
  },
  value: ({ friction, speed, diameter, length }) => friction * speed * diameter * diameter * length,
  partials: ({ friction, speed, diameter, length }) => ({
    friction: speed * diameter * diameter * length,
    speed: friction * diameter * diameter * length,
    diameter: 2 * friction * speed * diameter * length,
    length: friction * speed * diameter * diameter,
  }),
})
