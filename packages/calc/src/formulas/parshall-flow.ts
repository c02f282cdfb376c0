/** Flow through a Parshall flume in free flow. */
import { power } from '../elementary.ts'
import { parshallSizeOf } from '../flow/parshall-sizes.ts'
import { defineFormula } from '../formula.ts'

/** Flow in m³/s from the head at the upstream gauge in m, by the table's size of the throat in m; NaN where it has none. */
export const parshallFlow = defineFormula({
  id: 'parshall-flow',
  title: 'Flow through the flume',
  unit: 'm3/s',
  inputs: { throat: 'm', head: 'm' },
  expression: 'Q = C(W) · h_a^n(W)',
  symbols: {
    throat: ['W', 'width of the throat, which names the size'],
    head: ['h_a', 'head at the upstream gauge'],
  },
  validity:
    'Sizes of 1 in to 50 ft; free flow, downstream over upstream head at most 0.5 to 0.8 by size; head within the range of the size.',
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 8, table of coefficients (from memory)',
    basis: 'from memory',
  },
  value: ({ throat, head }) => {
    const size = parshallSizeOf(throat)
    return size === undefined ? Number.NaN : size.coefficient * power(head, size.exponent)
  },
  // The size is one of a table: a throat a little wider is the same size.
  partials: ({ throat, head }) => {
    const size = parshallSizeOf(throat)
    return {
      throat: 0,
      head: size === undefined ? Number.NaN : size.coefficient * size.exponent * power(head, size.exponent - 1),
    }
  },
})
