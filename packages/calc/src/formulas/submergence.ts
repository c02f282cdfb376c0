/** Water over the bowls. */
import { defineFormula } from '../formula.ts'

/** Depth in m of the bowls below the pumping water level. */
export const submergence = defineFormula({
  id: 'submergence',
  title: 'Water over the bowls',
  unit: 'm',
  inputs: { bowlDepth: 'm', pumpingLevel: 'm' },
  expression: 's = z_b − h_p',
  symbols: { bowlDepth: ['z_b', 'depth of the bowls'], pumpingLevel: ['h_p', 'pumping water level'] },
  source: { document: 'general hydraulics', place: 'difference of two depths', basis: 'derived' },
  value: ({ bowlDepth, pumpingLevel }) => bowlDepth - pumpingLevel,
  partials: () => ({ bowlDepth: 1, pumpingLevel: -1 }),
})
