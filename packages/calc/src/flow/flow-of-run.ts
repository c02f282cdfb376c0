/** The flow readings of a run: its flow by any method, a second reading to compare, and the grower’s own meter. */
import type { Static } from 'typebox'
import { oneOf } from '../one-of.ts'
import type { FlowMeasured, FlowRole, FlowSurroundings } from './flow-method.ts'
import { measureSingleFlow, type SingleFlow, singleFlowMethods, singleFlowSchemas } from './list.ts'
import { meterRate } from './meter-rate.ts'
import { meterTotaliser } from './meter-totaliser.ts'
import { severalPipes } from './several-pipes.ts'

export const flowMethods = [...singleFlowMethods, severalPipes] as const

export const FlowReadings = oneOf('FlowReadings', [...singleFlowSchemas, severalPipes.schema])
export type FlowReadings = Static<typeof FlowReadings>

export const GrowersMeter = oneOf('GrowersMeter', [meterRate.schema, meterTotaliser.schema])
export type GrowersMeter = Static<typeof GrowersMeter>

/** Flow by the method the sheet names, be it one flow or that of several pipes. */
export function measureFlow(readings: FlowReadings, place: string, around: FlowSurroundings): FlowMeasured {
  return readings.method === 'several-pipes'
    ? severalPipes.measure(readings, place, around)
    : measureSingleFlow(readings, place, around)
}

interface FlowsOfRun {
  readonly flow?: FlowReadings
  readonly comparisonFlow?: FlowReadings
  readonly growersMeter?: GrowersMeter
}

/** One flow as read, with its place below the run: `flow/pipes/1`. */
interface PlacedFlow {
  readonly readings: SingleFlow
  readonly place: string
  readonly role: FlowRole
}

const placed = (readings: FlowReadings, place: string, role: FlowRole): PlacedFlow[] =>
  readings.method === 'several-pipes'
    ? readings.pipes.map((pipe, i) => ({ readings: pipe, place: `${place}/pipes/${i}`, role }))
    : [{ readings, place, role }]

/** Flows that make the flow of the run. */
export const testedFlows = ({ flow }: FlowsOfRun): PlacedFlow[] =>
  flow === undefined ? [] : placed(flow, 'flow', 'tested')

/** Every flow read in a run: those of the tested flow, those it is compared with, the grower’s meter. */
export function flowsOfRun(run: FlowsOfRun): PlacedFlow[] {
  const flows = testedFlows(run)
  if (run.comparisonFlow !== undefined) flows.push(...placed(run.comparisonFlow, 'comparisonFlow', 'comparison'))
  if (run.growersMeter !== undefined)
    flows.push({ readings: run.growersMeter, place: 'growersMeter', role: 'growers-meter' })
  return flows
}

/** True if any reading was made that the method can use. */
export function wasRead(readings: SingleFlow): boolean {
  if ('diameters' in readings) return readings.diameters.length > 0
  if ('rates' in readings) return readings.rates.length > 0
  return 'velocities' in readings ? readings.velocities.length > 0 : true
}

/** Code of the instrument that a flow names for itself; of a meter of the plant, its serial number. */
export function instrumentNamed(readings: SingleFlow): string | undefined {
  if ('tube' in readings) return readings.tube.instrument ?? readings.tube.coefficient.instrument
  return readings.instrument ?? ('meterSerial' in readings ? readings.meterSerial : undefined)
}
