/** The ways to read input power, and the choice the sheet offers. */
import type { Static } from 'typebox'
import { oneOf } from '../one-of.ts'
import type { Surroundings } from '../surroundings.ts'
import { fuelVolume } from './fuel-volume.ts'
import { meterDemand } from './meter-demand.ts'
import { meterDisplay } from './meter-display.ts'
import { meterPulses } from './meter-pulses.ts'
import { meterRegister } from './meter-register.ts'
import { meterRevolutions } from './meter-revolutions.ts'
import type { PowerMeasured } from './power-method.ts'
import { twoWattmeters } from './two-wattmeters.ts'
import { voltsAmps } from './volts-amps.ts'

export const powerMethods = [
  meterRevolutions,
  meterPulses,
  meterDisplay,
  meterRegister,
  meterDemand,
  voltsAmps,
  twoWattmeters,
  fuelVolume,
] as const

export const PowerReadings = oneOf('PowerReadings', [
  meterRevolutions.schema,
  meterPulses.schema,
  meterDisplay.schema,
  meterRegister.schema,
  meterDemand.schema,
  voltsAmps.schema,
  twoWattmeters.schema,
  fuelVolume.schema,
])
export type PowerReadings = Static<typeof PowerReadings>

/** Input power by the method the sheet names. */
export function measurePower(readings: PowerReadings, place: string, around: Surroundings): PowerMeasured {
  switch (readings.method) {
    case 'meter-revolutions':
      return meterRevolutions.measure(readings, place, around)
    case 'meter-pulses':
      return meterPulses.measure(readings, place, around)
    case 'meter-display':
      return meterDisplay.measure(readings, place, around)
    case 'meter-register':
      return meterRegister.measure(readings, place, around)
    case 'meter-demand':
      return meterDemand.measure(readings, place, around)
    case 'two-wattmeters':
      return twoWattmeters.measure(readings, place, around)
    case 'fuel-volume':
      return fuelVolume.measure(readings, place, around)
    case 'volts-amps':
      return voltsAmps.measure(readings, place, around)
  }
}
