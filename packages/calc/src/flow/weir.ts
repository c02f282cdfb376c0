/** What thin-plate weirs share: where the head was read, and how free the water falls. */
import { Type } from 'typebox'
import type { Node } from '../graph.ts'
import { Code, positiveReading, type Reading, reading } from '../readings.ts'
import { type DefaultName, leafKind, widen } from '../surroundings.ts'
import { toSi } from '../units.ts'
import type { FlowMeasured, FlowSurroundings } from './flow-method.ts'
import { PipeOfMeter, pipeOf } from './meter.ts'
import { headMembers, measureHead } from './water-head.ts'

export const weirMembers = {
  pipe: PipeOfMeter,
  ...headMembers('Head over the crest or the vertex of the notch, read upstream of the plate.'),
  crestHeight: Type.Optional(positiveReading('length', 'Crest or vertex above the floor of the pool upstream.')),
  headDistance: Type.Optional(positiveReading('length', 'How far upstream of the plate the head was read.')),
  tailwaterBelowCrest: Type.Optional(
    reading('length', 'Water downstream below the crest or vertex; negative if it stands above.'),
  ),
  ventilated: Type.Optional(Type.Boolean({ description: 'Whether there is air under the falling water.' })),
  instrument: Type.Optional(Code('Code of the gauge, where it is another instrument than the one named for flow.')),
} as const

interface WeirReadings {
  readonly head: Reading
  readonly headRepeats?: readonly Reading[]
  readonly crestHeight?: Reading
  readonly headDistance?: Reading
  readonly tailwaterBelowCrest?: Reading
  readonly pipe?: Parameters<typeof pipeOf>[0]['pipe']
}

/** Facts that findings look at, of every weir. */
export function collectWeir(
  { head, crestHeight, headDistance, tailwaterBelowCrest }: WeirReadings,
  { facts }: FlowSurroundings,
) {
  facts.weirHead = toSi(head, 'length')
  facts.weirCrestHeight = crestHeight && toSi(crestHeight, 'length')
  facts.weirHeadDistance = headDistance && toSi(headDistance, 'length')
  facts.tailwaterBelowCrest = tailwaterBelowCrest && toSi(tailwaterBelowCrest, 'length')
}

const CREST = leafKind('Length of the crest', 'length')

/** The crest of a rectangular or Cipolletti weir, and the head over it. */
export function measureCrest(
  readings: WeirReadings & { readonly crestLength: Reading },
  place: string,
  around: FlowSurroundings,
): { readonly crestLength: Node; readonly head: Node } {
  const { graph, facts } = around
  collectWeir(readings, around)
  const at = `${place}/crestLength`
  const crestLength = graph.leaf(CREST, at, readings.crestLength)
  widen(around, 'crest-length', 'measure', at, at, crestLength, 1)
  facts.weirCrestLength = graph.values[crestLength]!
  return { crestLength, head: measureHead(readings, place, around) }
}

/** Flow with the doubt about the coefficient of its formula, and the pipe it came through. */
export function flowByFormula(
  flow: Node | undefined,
  coefficient: DefaultName,
  readings: { readonly pipe?: WeirReadings['pipe'] },
  place: string,
  around: FlowSurroundings,
): FlowMeasured {
  const { graph, facts } = around
  const pipe = readings.pipe === undefined ? undefined : pipeOf({ pipe: readings.pipe }, place, around)
  if (flow === undefined) return { flow: undefined, area: pipe?.area }
  const value = graph.values[flow]!
  widen(around, coefficient, 'better-instrument', place, place, flow, value)
  if (pipe !== undefined) facts.meanVelocity = value / graph.values[pipe.area]!
  return { flow, area: pipe?.area }
}
