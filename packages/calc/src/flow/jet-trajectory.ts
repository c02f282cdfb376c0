/** Flow from an open pipe by the way its jet falls: level or sloping, full or partly full. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { flowInPipe } from '../formulas/flow-in-pipe.ts'
import { jetVelocity } from '../formulas/jet-velocity.ts'
import { segmentArea } from '../formulas/segment-area.ts'
import { Code, positiveReading, reading } from '../readings.ts'
import { leafKind } from '../surroundings.ts'
import { defineFlowMethod } from './flow-method.ts'
import { measurePipe, Pipe } from './pipe.ts'
import { flowByFormula } from './weir.ts'

const DISTANCE = leafKind('Distance of the jet from the mouth', 'length')
const FALL = leafKind('Fall of the jet', 'length')
const SLOPE = leafKind('Slope of the pipe', 'angle')
const DEPTH = leafKind('Depth of the water at the mouth', 'length')
const LEVEL = { value: 0, unit: 'deg' } as const

const schema = Type.Object(
  {
    method: Type.Literal('jet-trajectory', { description: 'The way the jet of an open pipe falls.' }),
    pipe: Pipe,
    distance: positiveReading('length', 'Horizontal distance from the mouth to where the fall was read.'),
    fall: positiveReading('length', 'Fall of the same streamline over that distance.'),
    slope: Type.Optional(reading('angle', 'Slope of the pipe, upward positive; absent if it is level.')),
    depth: Type.Optional(positiveReading('length', 'Depth of the water at the mouth; absent if the pipe runs full.')),
    instrument: Type.Optional(Code('Code of the gauge, where it is another instrument than the one named for flow.')),
  },
  { title: 'JetTrajectory', description: 'Flow by the jet of an open pipe.', additionalProperties: false },
)

export const jetTrajectory = defineFlowMethod({
  id: 'jet-trajectory',
  title: 'Jet of an open pipe',
  schema,
  formulas: [jetVelocity, segmentArea, flowInPipe] as unknown as readonly AnyFormula[],
  source: {
    document: 'US Bureau of Reclamation, Water Measurement Manual, 3rd ed., 2001',
    place: 'ch. 14, trajectory methods (from memory)',
    basis: 'from memory',
  },
  cautions: ['chemigation', 'place-for-the-water', 'noise-and-eyes'],
  measure(readings, place, around) {
    const { graph, facts } = around
    facts.areaNeeded = true
    const pipe = measurePipe(readings.pipe, `${place}/pipe`, around)
    const velocity = graph.apply(jetVelocity, {
      distance: graph.leaf(DISTANCE, `${place}/distance`, readings.distance),
      fall: graph.leaf(FALL, `${place}/fall`, readings.fall),
      slope: graph.leaf(SLOPE, readings.slope ? `${place}/slope` : 'edition/level-pipe', readings.slope ?? LEVEL),
    })
    const usable = pipe !== undefined && Number.isFinite(graph.values[velocity]!)
    if (!usable) return { flow: undefined, area: pipe?.area }
    const depth = readings.depth && graph.leaf(DEPTH, `${place}/depth`, readings.depth)
    const partly = depth !== undefined && graph.values[depth]! < graph.values[pipe.diameter]!
    const area = partly ? graph.apply(segmentArea, { depth, diameter: pipe.diameter }) : pipe.area
    const flow = graph.apply(flowInPipe, { velocity, area })
    return { ...flowByFormula(flow, 'trajectory', {}, place, around), area }
  },
})
