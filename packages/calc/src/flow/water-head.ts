/** The head of water that weirs, flumes and orifices are read by: one reading, and repeats that show its scatter. */
import { Type } from 'typebox'
import type { Node } from '../graph.ts'
import type { Reading } from '../readings.ts'
import { positiveReading } from '../readings.ts'
import { scatterKind } from '../repeats.ts'
import { defaultKind, leafKind } from '../surroundings.ts'
import { sampleDeviation } from '../uncertainty.ts'
import { toSi } from '../units.ts'
import type { FlowSurroundings } from './flow-method.ts'

const HEAD = leafKind('Head of the water', 'length')
const SCATTER = scatterKind('water-head-scatter', 'Scatter of the heads', 'length')

export const headMembers = (of: string) => ({
  head: positiveReading('length', of),
  headRepeats: Type.Optional(
    Type.Array(positiveReading('length', 'The head read again.'), {
      maxItems: 20,
      description: 'Repeats of the head while it stood still.',
    }),
  ),
})

interface HeadReadings {
  readonly head: Reading
  readonly headRepeats?: readonly Reading[]
}

/** Head in m. Its random error is that of a reading, or the scatter of its repeats where that is larger. */
export function measureHead({ head, headRepeats = [] }: HeadReadings, place: string, around: FlowSurroundings): Node {
  const { graph, edition } = around
  const at = `${place}/head`
  const node = graph.leaf(HEAD, at, head)
  const { u } = edition.defaults['water-head']
  const n = headRepeats.length
  const scatter = n < 2 ? 0 : sampleDeviation(headRepeats.map((one) => toSi(one, 'length'))) / Math.sqrt(n)
  const component =
    scatter > u
      ? { kind: SCATTER, place: `${place}/headRepeats`, group: at, u: scatter, dof: n - 1 }
      : { kind: defaultKind(edition, 'water-head', 'repeat'), place: at, group: at, u, dof: Infinity }
  graph.act(graph.component(component), node, 1)
  return node
}
