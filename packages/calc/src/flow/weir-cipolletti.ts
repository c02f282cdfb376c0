/** Flow over a Cipolletti weir. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { cipollettiWeirFlow } from '../formulas/cipolletti-weir-flow.ts'
import { positiveReading } from '../readings.ts'
import { defineFlowMethod } from './flow-method.ts'
import { flowByFormula, measureCrest, weirMembers } from './weir.ts'

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
  cautions: ['chemigation', 'place-for-the-water', 'lifting-and-falls', 'alone', 'traffic'],
  measure(readings, place, around) {
    const { crestLength, head } = measureCrest(readings, place, around)
    const flow = around.graph.apply(cipollettiWeirFlow, { crestLength, head })
    return flowByFormula(flow, 'cipolletti-coefficient', readings, place, around)
  },
})
