/** Flow over a Cipolletti weir. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { cipollettiWeirFlow } from '../formulas/cipolletti-weir-flow.ts'
import { positiveReading } from '../readings.ts'
import { leafKind, widen } from '../surroundings.ts'
import { defineFlowMethod } from './flow-method.ts'
import { measureHead } from './water-head.ts'
import { collectWeir, flowByFormula, weirMembers } from './weir.ts'

const CREST = leafKind('Length of the crest', 'length')

const schema = Type.Object(
  {
    method: Type.Literal('weir-cipolletti', { description: 'Trapezoidal weir whose sides slope one in four.' }),
    crestLength: positiveReading('length', 'Length of the crest.'),
    ...weirMembers,
  },
  { title: 'CipollettiWeir', description: 'Flow over a Cipolletti weir.', additionalProperties: false },
)

export const weirCipolletti = defineFlowMethod({
  id: 'weir-cipolletti',
  title: 'Cipolletti weir',
  schema,
  formulas: [cipollettiWeirFlow] as unknown as readonly AnyFormula[],
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 7 section 12',
    basis: 'looked up',
  },
  cautions: ['place-for-the-water', 'lifting-and-falls'],
  measure(readings, place, around) {
    const { graph, facts } = around
    collectWeir(readings, around)
    const at = `${place}/crestLength`
    const crestLength = graph.leaf(CREST, at, readings.crestLength)
    widen(around, 'crest-length', 'measure', at, at, crestLength, 1)
    facts.weirCrestLength = graph.values[crestLength]!
    const head = measureHead(readings, place, around)
    const flow = graph.apply(cipollettiWeirFlow, { crestLength, head })
    return flowByFormula(flow, 'cipolletti-coefficient', readings, place, around)
  },
})
