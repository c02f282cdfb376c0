/** Outside diameter of a pipe around which a tape was laid. */
import { defineFormula } from '../formula.ts'

/** Outside diameter in m from the circumference. */
export const outsideFromCircumference = defineFormula({
  id: 'outside-from-circumference',
  title: 'Outside diameter',
  unit: 'm',
  inputs: { circumference: 'm' },
  expression: 'OD = c / π',
  source: { document: 'general geometry', place: 'circumference of a circle', basis: 'derived' },
  symbols: { circumference: ['c', 'circumference outside, by tape'] },
  validity: 'The pipe is round, and the tape lies square to it on bare pipe.',
  value: ({ circumference }) => circumference / Math.PI,
  partials: () => ({ circumference: 1 / Math.PI }),
})
