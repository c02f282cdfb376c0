/** Diameter that friction in a ring goes by. */
import { defineFormula } from '../formula.ts'

/** Hydraulic diameter in m of the ring between a column and the tube inside it. */
export const hydraulicDiameter = defineFormula({
  id: 'hydraulic-diameter',
  title: 'Hydraulic diameter of the column',
  unit: 'm',
  inputs: { column: 'm', tube: 'm' },
  expression: 'D_h = D − d',
  symbols: { column: ['D', 'inside diameter of the column'], tube: ['d', 'outside diameter of shaft or tube in it'] },
  source: { document: 'general hydraulics', place: 'four times area over wetted circumference', basis: 'derived' },
  value: ({ column, tube }) => column - tube,
  partials: () => ({ column: 1, tube: -1 }),
})
