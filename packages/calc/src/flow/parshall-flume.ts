/** Flow through a Parshall flume, in free flow. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { parshallFlow } from '../formulas/parshall-flow.ts'
import { Code, positiveReading } from '../readings.ts'
import { leafKind } from '../surroundings.ts'
import { toSi } from '../units.ts'
import { defineFlowMethod } from './flow-method.ts'
import { PipeOfMeter } from './meter.ts'
import { parshallSizeOf } from './parshall-sizes.ts'
import { headMembers, measureHead } from './water-head.ts'
import { flowByFormula } from './weir.ts'

const THROAT = leafKind('Throat of the flume', 'length')

const schema = Type.Object(
  {
    method: Type.Literal('parshall-flume', { description: 'Parshall flume.' }),
    pipe: PipeOfMeter,
    throat: positiveReading('length', 'Width of the throat: 1 in to 50 ft, one of the sizes of the table.'),
    ...headMembers('Head at the upstream gauge.'),
    downstreamHead: Type.Optional(positiveReading('length', 'Head at the downstream gauge.')),
    freeFlowSeen: Type.Optional(
      Type.Boolean({ description: 'Whether a standing wave was seen downstream, which only free flow makes.' }),
    ),
    instrument: Type.Optional(Code('Code of the gauge, where it is another instrument than the one named for flow.')),
  },
  { title: 'ParshallFlume', description: 'Flow through a Parshall flume.', additionalProperties: false },
)

export const parshallFlume = defineFlowMethod({
  id: 'parshall-flume',
  title: 'Parshall flume',
  schema,
  formulas: [parshallFlow] as unknown as readonly AnyFormula[],
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 8 (from memory)',
    basis: 'from memory',
  },
  cautions: ['chemigation', 'place-for-the-water', 'lifting-and-falls', 'alone', 'traffic'],
  measure(readings, place, around) {
    const { graph, facts } = around
    const size = parshallSizeOf(toSi(readings.throat, 'length'))
    facts.flumeThroat = toSi(readings.throat, 'length')
    facts.flumeHead = toSi(readings.head, 'length')
    facts.flumeSizeKnown = size !== undefined
    facts.flumeHeadMin = size?.headMin
    facts.flumeHeadMax = size?.headMax
    facts.flumeFreeUpTo = size?.freeUpTo
    facts.flumeDownstreamRead = readings.downstreamHead !== undefined || readings.freeFlowSeen === true
    if (readings.downstreamHead !== undefined)
      facts.flumeSubmergence = toSi(readings.downstreamHead, 'length') / facts.flumeHead
    if (size === undefined) return flowByFormula(undefined, 'flume-coefficient', readings, place, around)
    const throat = graph.leaf(THROAT, `${place}/throat`, readings.throat)
    const flow = graph.apply(parshallFlow, { throat, head: measureHead(readings, place, around) })
    return flowByFormula(flow, 'flume-coefficient', readings, place, around)
  },
})
