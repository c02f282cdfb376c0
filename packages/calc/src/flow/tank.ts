/** Flow by the time in which a tank fills. */

import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { meanRate } from '../formulas/mean-rate.ts'
import { tankFlow } from '../formulas/tank-flow.ts'
import { tankVolume } from '../formulas/tank-volume.ts'
import type { Node } from '../graph.ts'
import { Code, positiveReading } from '../readings.ts'
import { scatterKind } from '../repeats.ts'
import { leafKind, widen } from '../surroundings.ts'
import { actTimed } from '../timed.ts'
import { defineFlowMethod, type FlowSurroundings } from './flow-method.ts'
import { PipeOfMeter, pipeOf } from './meter.ts'

const VOLUME = leafKind('Volume filled', 'volume')
const LENGTH = leafKind('Length of the tank', 'length')
const WIDTH = leafKind('Width of the tank', 'length')
const RISE = leafKind('Rise of the water', 'length')
const ELAPSED = leafKind('Time of filling', 'time')
const SCATTER = scatterKind('tank-scatter', 'Scatter of the fillings', 'flow')

const Filling = Type.Object(
  {
    volume: Type.Optional(positiveReading('volume', 'Volume filled, where the tank is marked for it.')),
    rise: Type.Optional(positiveReading('length', 'Rise of the water, where the tank was measured.')),
    elapsed: positiveReading('time', 'Time of filling.'),
  },
  { title: 'Filling', description: 'One filling, by volume or by the rise of the water.', additionalProperties: false },
)
type Filling = Static<typeof Filling>

const schema = Type.Object(
  {
    method: Type.Literal('tank', { description: 'Time in which a tank fills.' }),
    pipe: PipeOfMeter,
    tankLength: Type.Optional(positiveReading('length', 'Inside length of a tank with upright walls.')),
    tankWidth: Type.Optional(positiveReading('length', 'Its inside width.')),
    fillings: Type.Array(Filling, { maxItems: 20, description: 'Fillings, one after the other.' }),
    instrument: Type.Optional(Code('Code of the tank, where it is another instrument than the one named for flow.')),
  },
  { title: 'Tank', description: 'Flow by the filling of a tank.', additionalProperties: false },
)
type Tank = Static<typeof schema>

function volumeOf(
  filling: Filling,
  readings: Tank,
  at: string,
  place: string,
  { graph }: FlowSurroundings,
): Node | undefined {
  if (filling.volume !== undefined) return graph.leaf(VOLUME, `${at}/volume`, filling.volume)
  const { tankLength, tankWidth } = readings
  if (filling.rise === undefined || tankLength === undefined || tankWidth === undefined) return undefined
  return graph.apply(tankVolume, {
    length: graph.leaf(LENGTH, `${place}/tankLength`, tankLength),
    width: graph.leaf(WIDTH, `${place}/tankWidth`, tankWidth),
    rise: graph.leaf(RISE, `${at}/rise`, filling.rise),
  })
}

export const tank = defineFlowMethod({
  id: 'tank',
  title: 'Tank and watch',
  schema,
  formulas: [tankVolume, tankFlow, meanRate] as unknown as readonly AnyFormula[],
  source: { document: 'common practice', place: 'volume over time, three times', basis: 'common practice' },
  cautions: ['chemigation', 'place-for-the-water', 'lifting-and-falls'],
  measure(readings, place, around) {
    const { graph, facts } = around
    const pipe = pipeOf(readings, place, around)
    const flows: Node[] = []
    const times: Node[] = []
    const places: string[] = []
    for (const [i, filling] of readings.fillings.entries()) {
      const at = `${place}/fillings/${i}`
      const volume = volumeOf(filling, readings, at, place, around)
      if (volume === undefined) continue
      const elapsed = graph.leaf(ELAPSED, `${at}/elapsed`, filling.elapsed)
      facts.shortestFilling = Math.min(facts.shortestFilling ?? Infinity, graph.values[elapsed]!)
      times.push(elapsed)
      places.push(`${at}/elapsed`)
      flows.push(graph.apply(tankFlow, { volume, elapsed }))
    }
    if (flows.length === 0) return { flow: undefined, area: pipe?.area }
    const flow = graph.apply(meanRate, { rates: flows })
    const timed = { values: flows, elapsed: times, group: `${place}/fillings`, placeOf: (i: number) => places[i]! }
    actTimed(flow, timed, SCATTER, around)
    widen(around, 'tank-volume', 'measure', place, place, flow, graph.values[flow]!)
    if (pipe !== undefined) facts.meanVelocity = graph.values[flow]! / graph.values[pipe.area]!
    return { flow, area: pipe?.area }
  },
})
