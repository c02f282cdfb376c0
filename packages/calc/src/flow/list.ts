/** The ways to measure one flow, and the choice they make. */
import type { Static } from 'typebox'
import { oneOf } from '../one-of.ts'
import { centreLineVelocity } from './centre-line-velocity.ts'
import type { FlowMeasured, FlowSurroundings } from './flow-method.ts'
import { insertionVelocity } from './insertion-velocity.ts'
import { meterRate } from './meter-rate.ts'
import { meterTotaliser } from './meter-totaliser.ts'
import { pitotTraverse } from './pitot-traverse.ts'
import { ultrasonicRate } from './ultrasonic-rate.ts'
import { ultrasonicVelocity } from './ultrasonic-velocity.ts'

export const singleFlowMethods = [
  pitotTraverse,
  centreLineVelocity,
  meterRate,
  meterTotaliser,
  ultrasonicRate,
  ultrasonicVelocity,
  insertionVelocity,
] as const

/** Schemas of the methods that measure one flow. */
export const singleFlowSchemas = [
  pitotTraverse.schema,
  centreLineVelocity.schema,
  meterRate.schema,
  meterTotaliser.schema,
  ultrasonicRate.schema,
  ultrasonicVelocity.schema,
  insertionVelocity.schema,
] as const

export const SingleFlow = oneOf('SingleFlow', singleFlowSchemas)
export type SingleFlow = Static<typeof SingleFlow>

/** One flow by the method the sheet names. */
export function measureSingleFlow(readings: SingleFlow, place: string, around: FlowSurroundings): FlowMeasured {
  switch (readings.method) {
    case 'pitot-traverse':
      return pitotTraverse.measure(readings, place, around)
    case 'centre-line-velocity':
      return centreLineVelocity.measure(readings, place, around)
    case 'meter-rate':
      return meterRate.measure(readings, place, around)
    case 'meter-totaliser':
      return meterTotaliser.measure(readings, place, around)
    case 'ultrasonic-rate':
      return ultrasonicRate.measure(readings, place, around)
    case 'ultrasonic-velocity':
      return ultrasonicVelocity.measure(readings, place, around)
    case 'insertion-velocity':
      return insertionVelocity.measure(readings, place, around)
  }
}
