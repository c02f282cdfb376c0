/** The ways to measure one flow, and the choice they make. */
import type { Static } from 'typebox'
import { oneOf } from '../one-of.ts'
import { centreLineVelocity } from './centre-line-velocity.ts'
import type { FlowMeasured, FlowSurroundings } from './flow-method.ts'
import { insertionVelocity } from './insertion-velocity.ts'
import { jetTrajectory } from './jet-trajectory.ts'
import { meterRate } from './meter-rate.ts'
import { meterTotaliser } from './meter-totaliser.ts'
import { parshallFlume } from './parshall-flume.ts'
import { pipeEndOrifice } from './pipe-end-orifice.ts'
import { pitotTraverse } from './pitot-traverse.ts'
import { tank } from './tank.ts'
import { ultrasonicRate } from './ultrasonic-rate.ts'
import { ultrasonicVelocity } from './ultrasonic-velocity.ts'
import { verticalJet } from './vertical-jet.ts'
import { weirCipolletti } from './weir-cipolletti.ts'
import { weirRectangular } from './weir-rectangular.ts'
import { weirVNotch } from './weir-v-notch.ts'

export const singleFlowMethods = [
  pitotTraverse,
  centreLineVelocity,
  meterRate,
  meterTotaliser,
  ultrasonicRate,
  ultrasonicVelocity,
  insertionVelocity,
  jetTrajectory,
  parshallFlume,
  pipeEndOrifice,
  tank,
  verticalJet,
  weirCipolletti,
  weirRectangular,
  weirVNotch,
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
  jetTrajectory.schema,
  parshallFlume.schema,
  pipeEndOrifice.schema,
  tank.schema,
  verticalJet.schema,
  weirCipolletti.schema,
  weirRectangular.schema,
  weirVNotch.schema,
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
    case 'jet-trajectory':
      return jetTrajectory.measure(readings, place, around)
    case 'parshall-flume':
      return parshallFlume.measure(readings, place, around)
    case 'pipe-end-orifice':
      return pipeEndOrifice.measure(readings, place, around)
    case 'tank':
      return tank.measure(readings, place, around)
    case 'vertical-jet':
      return verticalJet.measure(readings, place, around)
    case 'weir-cipolletti':
      return weirCipolletti.measure(readings, place, around)
    case 'weir-rectangular':
      return weirRectangular.measure(readings, place, around)
    case 'weir-v-notch':
      return weirVNotch.measure(readings, place, around)
  }
}
