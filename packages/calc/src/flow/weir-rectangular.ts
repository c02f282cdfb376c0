/** Flow over a thin-plate rectangular weir, contracted or over the whole width of its channel. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { francisWeirFlow } from '../formulas/francis-weir-flow.ts'
import { rectangularWeirFlow } from '../formulas/rectangular-weir-flow.ts'
import type { Node } from '../graph.ts'
import { positiveReading } from '../readings.ts'
import { leafKind } from '../surroundings.ts'
import { defineFlowMethod, type FlowSurroundings } from './flow-method.ts'
import { flowByFormula, measureCrest, weirMembers } from './weir.ts'

const CHANNEL = leafKind('Width of the channel', 'length')
const HEIGHT = leafKind('Height of the crest', 'length')
const CONTRACTIONS = leafKind('Ends at which the stream narrows', 'ratio')

const schema = Type.Object(
  {
    method: Type.Literal('weir-rectangular', { description: 'Thin-plate rectangular weir.' }),
    contraction: Type.Enum(['contracted', 'suppressed'], {
      description:
        '`contracted`: the channel is wider than the crest at both ends. `suppressed`: the crest takes its whole width.',
    }),
    crestLength: positiveReading('length', 'Length of the crest.'),
    channelWidth: Type.Optional(positiveReading('length', 'Width of the channel upstream, of a contracted weir.')),
    ...weirMembers,
  },
  { title: 'RectangularWeir', description: 'Flow over a rectangular weir.', additionalProperties: false },
)
type RectangularWeir = Static<typeof schema>

/** By the channel's measures where they were taken, else by the form that does without them. */
function flowOver(
  readings: RectangularWeir,
  crestLength: Node,
  head: Node,
  place: string,
  { graph }: FlowSurroundings,
): Node {
  const { contraction, channelWidth, crestHeight } = readings
  const suppressed = contraction === 'suppressed'
  if (crestHeight !== undefined && (suppressed || channelWidth !== undefined)) {
    const width =
      suppressed || channelWidth === undefined
        ? crestLength
        : graph.leaf(CHANNEL, `${place}/channelWidth`, channelWidth)
    const height = graph.leaf(HEIGHT, `${place}/crestHeight`, crestHeight)
    return graph.apply(rectangularWeirFlow, { crestLength, channelWidth: width, crestHeight: height, head })
  }
  const ends = { value: suppressed ? 0 : 2, unit: '1' }
  const contractions = graph.leaf(CONTRACTIONS, 'edition/end-contractions', ends)
  return graph.apply(francisWeirFlow, { crestLength, contractions, head })
}

export const weirRectangular = defineFlowMethod({
  id: 'weir-rectangular',
  title: 'Rectangular weir',
  schema,
  formulas: [rectangularWeirFlow, francisWeirFlow] as unknown as readonly AnyFormula[],
  source: { document: 'ISO 1438:2017', place: 'thin-plate rectangular weirs (from memory)', basis: 'from memory' },
  cautions: ['chemigation', 'place-for-the-water', 'lifting-and-falls', 'alone', 'traffic'],
  measure(readings, place, around) {
    const { crestLength, head } = measureCrest(readings, place, around)
    const flow = flowOver(readings, crestLength, head, place, around)
    return flowByFormula(flow, 'weir-coefficient', readings, place, around)
  },
})
