/** Volume filled in a tank with upright walls. */
import { defineFormula } from '../formula.ts'

/** Volume in m³ from length, width and rise of the water in m. */
export const tankVolume = defineFormula({
  id: 'tank-volume',
  title: 'Volume filled',
  unit: 'm3',
  inputs: { length: 'm', width: 'm', rise: 'm' },
  expression: 'V = l · w · r',
  symbols: { length: ['l', 'length of the tank'], width: ['w', 'width of the tank'], rise: ['r', 'rise of the water'] },
  validity: 'Upright walls.',
  source: { document: 'general geometry', place: 'volume of a box', basis: 'derived' },
  value: ({ length, width, rise }) => length * width * rise,
  partials: ({ length, width, rise }) => ({ length: width * rise, width: length * rise, rise: length * width }),
})
