/** Flow over a rectangular weir whose channel was not measured. */
import { power } from '../elementary.ts'
import { defineFormula } from '../formula.ts'

/** 3.33 ft^0.5/s in SI. */
const K = 3.33 * Math.sqrt(0.3048)

/** Flow in m³/s; crest length and head in m, end contractions 0, 1 or 2 (Francis). */
export const francisWeirFlow = defineFormula({
  id: 'francis-weir-flow',
  title: 'Flow over the rectangular weir',
  unit: 'm3/s',
  inputs: { crestLength: 'm', contractions: '1', head: 'm' },
  expression: 'Q = 3.33 · (L − 0.1 n h) · h^1.5 (ft, s)',
  symbols: {
    crestLength: ['L', 'length of the crest'],
    contractions: ['n', 'ends at which the stream narrows: 2, or 0 where the weir is suppressed'],
    head: ['h', 'head over the crest, read upstream'],
  },
  validity: 'h at least 0.2 ft and at most a third of L; free and ventilated; slow approach.',
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 7, Francis equations (from memory)',
    basis: 'from memory',
  },
  value: ({ crestLength, contractions, head }) => K * (crestLength - 0.1 * contractions * head) * power(head, 1.5),
  partials: ({ crestLength, contractions, head }) => ({
    crestLength: K * power(head, 1.5),
    contractions: -0.1 * K * power(head, 2.5),
    head: K * (1.5 * crestLength * Math.sqrt(head) - 0.25 * contractions * power(head, 1.5)),
  }),
})
