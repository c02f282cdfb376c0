/** The ways to read input power, and the choice the sheet offers. */
import type { Static } from 'typebox'
import { oneOf } from '../one-of.ts'
import type { Surroundings } from '../surroundings.ts'
import { meterRevolutions } from './meter-revolutions.ts'
import type { PowerMeasured } from './power-method.ts'

export const powerMethods = [meterRevolutions] as const

export const PowerReadings = oneOf('PowerReadings', [meterRevolutions.schema])
export type PowerReadings = Static<typeof PowerReadings>

/** Input power by the method the sheet names. */
export function measurePower(readings: PowerReadings, place: string, around: Surroundings): PowerMeasured {
  switch (readings.method) {
    case 'meter-revolutions':
      return meterRevolutions.measure(readings, place, around)
  }
}
