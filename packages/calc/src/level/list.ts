/** The ways to read a water level, and the choice the sheet offers. */
import type { Static } from 'typebox'
import { oneOf } from '../one-of.ts'
import { electricSounder } from './electric-sounder.ts'
import type { LevelSurroundings } from './level-method.ts'

export const levelMethods = [electricSounder] as const

export const LevelReading = oneOf('LevelReading', [electricSounder.schema])
export type LevelReading = Static<typeof LevelReading>

/** Depth of the water by the method the sheet names. */
export function measureLevel(readings: LevelReading, around: LevelSurroundings) {
  switch (readings.method) {
    case 'electric-sounder':
      return electricSounder.measure(readings, around)
  }
}
