/** What no one can read off a plant, and what its records and readings follow from. */
import type { Aquifer, Motor, Pump } from './hydraulics.ts'

/** The utility’s meter at a plant. */
export interface UtilityMeter {
  readonly kind: 'disk' | 'pulses' | 'display'
  /** Ratio of its current transformers. */
  readonly multiplier: number
  /** Wh of a revolution, or of a pulse; 0 for a display. */
  readonly constant: number
  /** Shown over true. */
  readonly scale: number
  readonly serial: string
}

/** A flow meter that belongs to the plant: nobody certified it. */
export interface PlantMeter {
  /** Shown over true. */
  readonly scale: number
}

/** What no one can read off a plant. SI. */
export interface PlantTruth {
  readonly pump: Pump
  readonly motor: Motor
  readonly aquifer: Aquifer | undefined
  readonly staticHead: number
  readonly friction: number
  readonly columnFriction: number
  readonly suctionFriction: number
  /** Depth in m of the standing water below the datum on the first day; of a booster the lift from its source. */
  readonly standingDepth: number
  readonly dischargeCentreAboveDatum: number
  readonly pipeDiameter: number
  /** Where it draws from a pipe. */
  readonly suctionDiameter: number | undefined
  readonly waterTemperature: number
  /** Wear on the first day simulated, and what each year adds. */
  readonly wearAtStart: number
  readonly wearPerYear: number
  readonly firstDay: number
  /** Days of the repairs, and the wear each left. */
  readonly repaired: readonly { readonly day: number; readonly wearLeft: number }[]
  readonly utilityMeter: UtilityMeter
  readonly flowMeter: PlantMeter
  /** Water pumped in a usual year, as a ratio of the hours of a year. */
  readonly shareOfYear: number
  /** Price of a kilowatt-hour in USD. */
  readonly energyRate: number
}
