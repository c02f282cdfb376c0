/** The pipe in which flow is measured: its inside diameter, area and straight runs. */
import { type Static, Type } from 'typebox'
import { areaBesideProbe } from '../formulas/area-beside-probe.ts'
import { diameterFromOutside } from '../formulas/diameter-from-outside.ts'
import { meanDiameter } from '../formulas/mean-diameter.ts'
import { outsideFromCircumference } from '../formulas/outside-from-circumference.ts'
import { pipeArea } from '../formulas/pipe-area.ts'
import type { Node } from '../graph.ts'
import { positiveReading, reading } from '../readings.ts'
import { leafKind, type Surroundings, widen } from '../surroundings.ts'
import { toSi } from '../units.ts'

const INSIDE = leafKind('Inside diameter', 'length')
const OUTSIDE = leafKind('Outside diameter', 'length')
const CIRCUMFERENCE = leafKind('Circumference outside', 'length')
const WALL = leafKind('Wall thickness', 'length')
const LINING = leafKind('Lining thickness', 'length')
const STEM_WIDTH = leafKind('Width of the stem of the probe', 'length')
const IMMERSION = leafKind('Length of the stem inside the pipe', 'length')

const ProbeStem = Type.Object(
  {
    width: positiveReading('length', 'Width of the stem across the flow.'),
    immersion: positiveReading(
      'length',
      'Length of the stem inside the pipe, mean over the points: half the diameter for a whole traverse.',
    ),
  },
  {
    title: 'ProbeStem',
    description: 'The part of a tube or probe that takes area from the water.',
    additionalProperties: false,
  },
)

export const Pipe = Type.Object(
  {
    insideDiameters: Type.Optional(
      Type.Array(positiveReading('length', 'An inside diameter; two at right angles.'), {
        maxItems: 2,
        description: 'One inside diameter, or two at right angles.',
      }),
    ),
    outsideDiameter: Type.Optional(positiveReading('length', 'Outside diameter, where the inside was not read.')),
    outsideCircumference: Type.Optional(
      positiveReading('length', 'Circumference outside by tape, in place of the outside diameter.'),
    ),
    wallThickness: Type.Optional(
      positiveReading('length', 'Wall thickness, goes with the outside diameter or the circumference.'),
    ),
    liningThickness: Type.Optional(reading('length', 'Thickness of a lining; absent if there is none.')),
    probeStem: Type.Optional(ProbeStem),
    diameterBasis: Type.Enum(['measured', 'outside-and-wall', 'pipe-table'], {
      description: 'How the diameter was found: inside, from outside and wall, or from a pipe table.',
    }),
    straightUpstream: Type.Optional(reading('length', 'Straight pipe before the measuring section.')),
    runsFull: Type.Optional(Type.Boolean({ description: 'False if the pipe was not full at the section.' })),
    straightDownstream: Type.Optional(reading('length', 'Straight pipe after the measuring section.')),
  },
  { title: 'Pipe', description: 'The pipe at the measuring section.', additionalProperties: false },
)
export type Pipe = Static<typeof Pipe>

/** Outside diameter as read, or from the circumference. */
function outsideNode(pipe: Pipe, place: string, { graph }: Surroundings): Node | undefined {
  if (pipe.outsideDiameter !== undefined) return graph.leaf(OUTSIDE, `${place}/outsideDiameter`, pipe.outsideDiameter)
  if (pipe.outsideCircumference === undefined) return undefined
  const circumference = graph.leaf(CIRCUMFERENCE, `${place}/outsideCircumference`, pipe.outsideCircumference)
  return graph.apply(outsideFromCircumference, { circumference })
}

/** Diameter as read or computed, without its uncertainty. */
function diameterNode(pipe: Pipe, place: string, around: Surroundings): Node | undefined {
  const { graph } = around
  const inside = pipe.insideDiameters ?? []
  const nodes = inside.map((diameter, i) => graph.leaf(INSIDE, `${place}/insideDiameters/${i}`, diameter))
  if (nodes.length === 2) return graph.apply(meanDiameter, { first: nodes[0]!, second: nodes[1]! })
  if (nodes.length === 1) return nodes[0]!
  const outside = outsideNode(pipe, place, around)
  if (outside === undefined || pipe.wallThickness === undefined) return undefined
  return graph.apply(diameterFromOutside, {
    outside,
    wall: graph.leaf(WALL, `${place}/wallThickness`, pipe.wallThickness),
    lining:
      pipe.liningThickness === undefined
        ? graph.leaf(LINING, 'edition/no-lining', { value: 0, unit: 'mm' })
        : graph.leaf(LINING, `${place}/liningThickness`, pipe.liningThickness),
  })
}

/** Lets the uncertainty of a diameter act on it: the same for both readings, since scale in a pipe is all around. */
export function widenDiameter(diameter: Node, fromTable: boolean, place: string, around: Surroundings): void {
  const { graph, edition } = around
  const value = graph.values[diameter]!
  const group = place
  if (fromTable) widen(around, 'inside-diameter-from-table', 'measure', place, group, diameter, value)
  else if (value * edition.defaults['inside-diameter-share'].u >= edition.defaults['inside-diameter-least'].u)
    widen(around, 'inside-diameter-share', 'repeat', place, group, diameter, value)
  else widen(around, 'inside-diameter-least', 'repeat', place, group, diameter, 1)
}

export interface PipeMeasured {
  readonly diameter: Node
  readonly area: Node
  /** Area left to the water where the stem of a probe is in it: velocity times this is flow. */
  readonly flowArea: Node
}

/** Diameter and area of the pipe, and the facts that findings look at. */
export function measurePipe(pipe: Pipe, place: string, around: Surroundings): PipeMeasured | undefined {
  const { graph, facts } = around
  facts.diameterFromTable = pipe.diameterBasis === 'pipe-table'
  facts.pipeRunsFull = pipe.runsFull
  const diameter = diameterNode(pipe, place, around)
  if (diameter === undefined) return undefined
  widenDiameter(diameter, pipe.diameterBasis === 'pipe-table', place, around)
  const value = graph.values[diameter]!
  facts.pipeDiameter = value
  if (pipe.insideDiameters !== undefined && pipe.insideDiameters.length === 2) {
    const [first, second] = pipe.insideDiameters.map((d) => toSi(d, 'length')) as [number, number]
    facts.diameterSpread = (2 * Math.abs(first - second)) / (first + second)
  }
  if (pipe.straightUpstream) facts.straightUpstream = toSi(pipe.straightUpstream, 'length') / value
  if (pipe.straightDownstream) facts.straightDownstream = toSi(pipe.straightDownstream, 'length') / value
  const area = graph.apply(pipeArea, { diameter })
  return { diameter, area, flowArea: areaForFlow(area, pipe, place, around) }
}

/** The area less what the stem of a probe takes, where the sheet tells its size. */
function areaForFlow(area: Node, { probeStem }: Pipe, place: string, around: Surroundings): Node {
  if (probeStem === undefined) return area
  const { graph, facts } = around
  const at = `${place}/probeStem`
  const width = graph.leaf(STEM_WIDTH, `${at}/width`, probeStem.width)
  const immersion = graph.leaf(IMMERSION, `${at}/immersion`, probeStem.immersion)
  const left = graph.apply(areaBesideProbe, { area, width, immersion })
  const taken = graph.values[area]! - graph.values[left]!
  facts.probeBlockage = taken / graph.values[area]!
  widen(around, 'probe-blockage', 'measure', at, at, left, taken)
  return left
}
