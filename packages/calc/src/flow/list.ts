/** The ways to measure flow, and the choice the sheet offers. */
import type { Static } from 'typebox'
import { oneOf } from '../one-of.ts'
import type { FlowMeasured, FlowSurroundings } from './flow-method.ts'
import { insertionVelocity } from './insertion-velocity.ts'
import { meterRate } from './meter-rate.ts'
import { meterTotaliser } from './meter-totaliser.ts'
import { pitotTraverse } from './pitot-traverse.ts'
import { ultrasonicRate } from './ultrasonic-rate.ts'
import { ultrasonicVelocity } from './ultrasonic-velocity.ts'

export const flowMethods = [
  pitotTraverse,
  meterRate,
  meterTotaliser,
  ultrasonicRate,
  ultrasonicVelocity,
  insertionVelocity,
] as const

export const FlowReadings = oneOf('FlowReadings', [
  pitotTraverse.schema,
  meterRate.schema,
  meterTotaliser.schema,
  ultrasonicRate.schema,
  ultrasonicVelocity.schema,
  insertionVelocity.schema,
])
export type FlowReadings = Static<typeof FlowReadings>

/** Flow by the method the sheet names. */
export function measureFlow(readings: FlowReadings, place: string, around: FlowSurroundings): FlowMeasured {
  switch (readings.method) {
    case 'pitot-traverse':
      return pitotTraverse.measure(readings, place, around)
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
