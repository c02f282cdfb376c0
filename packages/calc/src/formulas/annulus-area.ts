/** Area of a ring. */
import { defineFormula } from '../formula.ts'

/** Area in m² between a column and the tube inside it. */
export const annulusArea = defineFormula({
  id: 'annulus-area',
  title: 'Area of the column around its shaft',
  unit: 'm2',
  inputs: { column: 'm', tube: 'm' },
  expression: 'A = π · (D² − d²) / 4',
  symbols: { column: ['D', 'inside diameter of the column'], tube: ['d', 'outside diameter of shaft or tube in it'] },
  source: { document: 'general geometry', place: 'area of a ring', basis: 'derived' },
  value: ({ column, tube }) => (Math.PI / 4) * (column * column - tube * tube),
  partials: ({ column, tube }) => ({ column: (Math.PI / 2) * column, tube: (-Math.PI / 2) * tube }),
})
