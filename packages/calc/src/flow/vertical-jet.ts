/** Flow from a vertical pipe by the height of its jet, or of the water over its rim. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { verticalJetFlow } from '../formulas/vertical-jet-flow.ts'
import { verticalOverflowFlow } from '../formulas/vertical-overflow-flow.ts'
import { Code, positiveReading } from '../readings.ts'
import { leafKind } from '../surroundings.ts'
import { defineFlowMethod } from './flow-method.ts'
import { measurePipe, Pipe } from './pipe.ts'
import { flowByFormula } from './weir.ts'

const HEIGHT = leafKind('Height of the jet', 'length')

const schema = Type.Object(
  {
    method: Type.Literal('vertical-jet', { description: 'Jet of a vertical pipe.' }),
    pipe: Pipe,
    height: positiveReading('length', 'Height of the water above the mouth of the pipe.'),
    instrument: Type.Optional(Code('Code of the gauge, where it is another instrument than the one named for flow.')),
  },
  { title: 'VerticalJet', description: 'Flow by the jet of a vertical pipe.', additionalProperties: false },
)

export const verticalJet = defineFlowMethod({
  id: 'vertical-jet',
  title: 'Jet of a vertical pipe',
  schema,
  formulas: [verticalJetFlow, verticalOverflowFlow] as unknown as readonly AnyFormula[],
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 14 section 13',
    basis: 'looked up',
  },
  cautions: ['chemigation', 'place-for-the-water', 'noise-and-eyes'],
  measure(readings, place, around) {
    const { graph, facts, edition } = around
    facts.areaNeeded = true
    const pipe = measurePipe(readings.pipe, `${place}/pipe`, around)
    if (pipe === undefined) return { flow: undefined, area: undefined }
    const { diameter, area } = pipe
    const height = graph.leaf(HEIGHT, `${place}/height`, readings.height)
    const ratio = graph.values[height]! / graph.values[diameter]!
    facts.jetHeight = graph.values[height]!
    facts.jetHeightRatio = ratio
    // Over the rim below the one limit, a jet above the other; what lies between is less than either and not known.
    if (ratio <= edition.limits.overflowHeight.si)
      return {
        ...flowByFormula(
          graph.apply(verticalOverflowFlow, { diameter, height }),
          'vertical-overflow',
          {},
          place,
          around,
        ),
        area,
      }
    const flow = graph.apply(verticalJetFlow, { diameter, height })
    return { ...flowByFormula(flow, 'vertical-jet', {}, place, around), area }
  },
})
