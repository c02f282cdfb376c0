/** What all meters of flow share: a scale that may be off, a factor from the certificate, the pipe they sit in. */
import { Type } from 'typebox'
import type { ContextInstrument } from '../context.ts'
import { correctedRate } from '../formulas/corrected-rate.ts'
import { flowInPipe } from '../formulas/flow-in-pipe.ts'
import { meanRate } from '../formulas/mean-rate.ts'
import { pointMeanVelocity } from '../formulas/point-mean-velocity.ts'
import type { Node } from '../graph.ts'
import { Code, positiveReading, type Reading } from '../readings.ts'
import { measureRepeats, type Repeated, scatterKind, spreadOf, stepAt } from '../repeats.ts'
import { accuracyRatio, type DefaultName, defaultKind, fullScaleOf, leafKind } from '../surroundings.ts'
import type { FlowMeasured, FlowSurroundings } from './flow-method.ts'
import { measurePipe, Pipe, type PipeMeasured } from './pipe.ts'
import { widenShortRun } from './straight-run.ts'

const FACTOR = leafKind('Correction factor of the meter', 'ratio')

/** Members that every meter has. */
export const meterMembers = {
  correctionFactor: Type.Optional(
    positiveReading('ratio', 'Factor from the certificate of the meter: true flow over shown flow. Absent if none.'),
  ),
  meterSerial: Type.Optional(Code('Serial number of the meter.')),
  instrument: Type.Optional(Code('Code of the meter, where it is another instrument than the one named for flow.')),
} as const

/** The pipe of a meter that gives flow by itself: needed for the velocity head only. */
export const PipeOfMeter = Type.Optional(Pipe)

/** How a meter came to its velocity or flow. */
export interface MeterReadings {
  readonly pipe?: Pipe
  readonly correctionFactor?: Reading
  readonly instrument?: string
}

const RATES: Repeated = {
  leaf: leafKind('Rate shown by the meter', 'flow'),
  scatter: scatterKind('rate-scatter', 'Scatter of the rates', 'flow'),
  mean: (graph, rates) => graph.apply(meanRate, { rates }),
}
const VELOCITIES: Repeated = {
  leaf: leafKind('Velocity shown by the meter', 'velocity'),
  scatter: scatterKind('velocity-scatter', 'Scatter of the velocities', 'velocity'),
  mean: (graph, velocities) => graph.apply(pointMeanVelocity, { velocities }),
}

const KINDS = ['clamp-on-meter', 'insertion-meter', 'propeller-meter', 'magnetic-meter'] as const

/** Code and record of the meter. */
function meterOf(
  readings: MeterReadings,
  around: FlowSurroundings,
): { code: string | undefined; instrument: ContextInstrument | undefined } {
  const code = readings.instrument ?? around.instrument
  return { code, instrument: around.instruments.find(code, ...KINDS) }
}

/** Mean of repeated rates or velocities, with what findings look at. Undefined for none. */
export function meanOf(
  dimension: 'flow' | 'velocity',
  shown: readonly Reading[],
  place: string,
  readings: MeterReadings,
  around: FlowSurroundings,
): Node | undefined {
  const { facts } = around
  facts.rateCount = shown.length
  facts.rateSpread = spreadOf(shown, dimension)
  if (shown.length === 0) return undefined
  const { instrument } = meterOf(readings, around)
  return measureRepeats(
    shown,
    place,
    dimension === 'flow' ? RATES : VELOCITIES,
    (value) => stepAt(value, instrument, dimension, 'rate-step', around),
    around.graph,
  ).mean
}

/** The pipe at the meter, with its facts. */
export const pipeOf = (readings: MeterReadings, place: string, around: FlowSurroundings): PipeMeasured | undefined =>
  readings.pipe === undefined ? undefined : measurePipe(readings.pipe, `${place}/pipe`, around)

/**
 * Lets the error of the meter’s scale act on what it shows: by its record, else by the edition’s default. It is one
 * error for all readings of a meter.
 */
export function widenScale(
  shown: Node,
  dimension: 'flow' | 'velocity',
  readings: MeterReadings,
  standIn: DefaultName,
  around: FlowSurroundings,
): void {
  // The error of the grower’s meter is what is asked, so it is no part of what is known of its reading.
  if (around.role === 'growers-meter') return
  const { graph, edition, instruments } = around
  const { code, instrument } = meterOf(readings, around)
  const value = Math.abs(graph.values[shown]!)
  const accuracy = instrument?.accuracy
  const scale = accuracy?.of === 'reading' ? value : fullScaleOf(instrument, dimension)
  const origin = code === undefined ? `edition/${standIn}` : `instrument/${code}`
  const usable = accuracy !== undefined && scale !== undefined
  const component = instruments.shared(
    code === undefined ? around.unnamed : origin,
    usable ? 'flow-meter-accuracy' : standIn,
    () => ({
      kind: usable
        ? instruments.kind('flow-meter-accuracy', 'Accuracy of the flow meter', 'better-instrument', 'ratio')
        : defaultKind(edition, standIn, standIn === 'flow-meter-certified' ? 'better-instrument' : 'certify'),
      place: origin,
      group: origin,
      u: usable ? accuracyRatio(accuracy) : edition.defaults[standIn].u,
      dof: Infinity,
    }),
  )
  graph.act(component, shown, usable ? scale : value)
}

/** From what the meter shows to the flow through its section: the factor of the certificate, the straight run. */
export function flowOf(
  shown: Node,
  pipe: PipeMeasured | undefined,
  place: string,
  readings: MeterReadings,
  around: FlowSurroundings,
): FlowMeasured {
  const { graph, facts } = around
  const factor = readings.correctionFactor
  const flow =
    factor === undefined
      ? shown
      : graph.apply(correctedRate, {
          rate: shown,
          factor: graph.leaf(FACTOR, `${place}/correctionFactor`, factor),
        })
  if (around.role !== 'growers-meter') widenShortRun(flow, place, around)
  if (pipe !== undefined) facts.meanVelocity = graph.values[flow]! / graph.values[pipe.area]!
  return { flow, area: pipe?.area }
}

/** The same from a mean velocity over the section. */
export function flowOfVelocity(
  velocity: Node,
  pipe: PipeMeasured | undefined,
  place: string,
  readings: MeterReadings,
  around: FlowSurroundings,
): FlowMeasured {
  if (pipe === undefined) return { flow: undefined, area: undefined }
  return flowOf(around.graph.apply(flowInPipe, { velocity, area: pipe.flowArea }), pipe, place, readings, around)
}

/** Default for the scale of a propeller, insertion or magnetic meter: better with a certificate that stands. */
export function meterScale(readings: MeterReadings, around: FlowSurroundings): DefaultName {
  return around.instruments.certified(meterOf(readings, around).instrument) ? 'flow-meter-certified' : 'flow-meter'
}
