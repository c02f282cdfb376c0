/** Writes values of a message in the units the tester read in. */
import { type Dimension, fromSi } from '../units.ts'

export interface SayUnits {
  readonly length: string
  readonly shortLength: string
  readonly pressure: string
  readonly flow: string
  readonly velocity: string
  readonly power: string
}

export interface Say {
  length(metres: number): string
  /** For pipe diameters and manometer columns. */
  shortLength(metres: number): string
  pressure(pascals: number): string
  flow(cubicMetresPerSecond: number): string
  velocity(metresPerSecond: number): string
  power(watts: number): string
  /** Seconds as minutes or hours. */
  time(seconds: number): string
  percent(ratio: number): string
  /** A plain number with at most four significant digits. */
  number(value: number): string
}

/** Four significant digits, without trailing zeros. */
function short(value: number): string {
  return String(Number(value.toPrecision(4)))
}

export function sayIn(units: SayUnits): Say {
  const inUnit = (dimension: Dimension, unit: string) => (value: number) =>
    `${short(fromSi(value, unit, dimension))} ${unit}`
  return {
    length: inUnit('length', units.length),
    shortLength: inUnit('length', units.shortLength),
    pressure: inUnit('pressure', units.pressure),
    flow: inUnit('flow', units.flow),
    velocity: inUnit('velocity', units.velocity),
    power: inUnit('power', units.power),
    time: (seconds) =>
      Math.abs(seconds) < 120
        ? `${short(seconds)} s`
        : Math.abs(seconds) < 7200
          ? `${short(seconds / 60)} min`
          : `${short(seconds / 3600)} h`,
    percent: (ratio) => `${short(ratio * 100)} %`,
    number: short,
  }
}
