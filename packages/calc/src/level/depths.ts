/** A level as plain depths below its measuring point, for findings that compare readings. */
import { STANDARD_GRAVITY } from '../constants.ts'
import type { Reading } from '../readings.ts'
import { toSi } from '../units.ts'
import type { LevelReading } from './list.ts'

export interface Depths {
  /** The level itself, in m. */
  readonly depth: number
  /** When it was read. */
  readonly at: string | undefined
  readonly repeats: readonly number[]
  readonly series: readonly { readonly depth: number; readonly at: string | undefined }[]
}

/** The reading that the level rests on, and where it stands in the readings of the level. */
export const mainReading = (level: LevelReading): { readonly reading: Reading; readonly member: string } =>
  'pressures' in level
    ? { reading: level.pressures.at(-1)!, member: `pressures/${level.pressures.length - 1}` }
    : { reading: level.reading, member: 'reading' }

/** Unit of length that the tester wrote. */
export const lengthUnitOf = (level: LevelReading): string =>
  level.method === 'air-line'
    ? level.airLineLength.unit
    : level.method === 'transducer'
      ? level.sensorDepth.unit
      : level.reading.unit

/** Column of water in m over the end of an air line or a sensor, of each pressure. */
export function columnsOf(level: Extract<LevelReading, { pressures: unknown }>, density: number): number[] {
  const zero = level.gaugeZero === undefined ? 0 : toSi(level.gaugeZero, 'pressure')
  return level.pressures.map((pressure) => (toSi(pressure, 'pressure') - zero) / (density * STANDARD_GRAVITY))
}

/** Depths of a level; `density` in kg/m³ is that of the water. */
export function depthsOf(level: LevelReading, density: number): Depths {
  const { at } = mainReading(level).reading
  if (!('pressures' in level))
    return {
      depth: toSi(level.reading, 'length'),
      at,
      repeats: (level.repeats ?? []).map((repeat) => toSi(repeat, 'length')),
      series: (level.series ?? []).map((each) => ({ depth: toSi(each, 'length'), at: each.at })),
    }
  const length = toSi(level.method === 'air-line' ? level.airLineLength : level.sensorDepth, 'length')
  const columns = columnsOf(level, density)
  return {
    depth: length - columns.reduce((sum, each) => sum + each, 0) / columns.length,
    at,
    repeats: [],
    series: (level.series ?? []).map((each) => ({
      depth: length - toSi(each, 'pressure') / (density * STANDARD_GRAVITY),
      at: each.at,
    })),
  }
}
