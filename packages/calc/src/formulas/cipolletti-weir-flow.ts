/** Flow over a Cipolletti weir: sides that slope one in four. */
import { power } from '../elementary.ts'
import { defineFormula } from '../formula.ts'

/** 3.367 ft^0.5/s in SI. */
const K = 3.367 * Math.sqrt(0.3048)

/** Flow in m³/s; crest length and head in m. */
export const cipollettiWeirFlow = defineFormula({
  id: 'cipolletti-weir-flow',
  title: 'Flow over the Cipolletti weir',
  unit: 'm3/s',
  inputs: { crestLength: 'm', head: 'm' },
  expression: 'Q = 3.367 · L · h^1.5 (ft, s)',
  symbols: {
    crestLength: ['L', 'length of the crest'],
    head: ['h', 'head over the crest, read upstream'],
  },
  validity: 'Head at least 0.2 ft and at most a third of the crest; free and ventilated.',
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 7 section 12, equation 7-7',
    basis: 'looked up',
  },
  value: ({ crestLength, head }) => K * crestLength * power(head, 1.5),
  partials: ({ crestLength, head }) => ({
    crestLength: K * power(head, 1.5),
    head: 1.5 * K * crestLength * Math.sqrt(head),
  }),
})
