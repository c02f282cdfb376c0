/** The ways to measure flow, and the choice the sheet offers. */
import type { Static } from 'typebox'
import { oneOf } from '../one-of.ts'
import type { FlowMeasured, FlowSurroundings } from './flow-method.ts'
import { pitotTraverse } from './pitot-traverse.ts'

export const flowMethods = [pitotTraverse] as const

export const FlowReadings = oneOf('FlowReadings', [pitotTraverse.schema])
export type FlowReadings = Static<typeof FlowReadings>

/** Flow by the method the sheet names. */
export function measureFlow(readings: FlowReadings, place: string, around: FlowSurroundings): FlowMeasured {
  switch (readings.method) {
    case 'pitot-traverse':
      return pitotTraverse.measure(readings, place, around)
  }
}
