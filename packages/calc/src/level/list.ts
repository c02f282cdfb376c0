/** The ways to read a water level, and the choice the sheet offers. */
import type { Static } from 'typebox'
import { oneOf } from '../one-of.ts'
import { acoustic } from './acoustic.ts'
import { airLine } from './air-line.ts'
import { electricSounder } from './electric-sounder.ts'
import type { LevelMeasured, LevelSurroundings } from './level-method.ts'
import { transducer } from './transducer.ts'

export const levelMethods = [electricSounder, airLine, transducer, acoustic] as const

export const LevelReading = oneOf('LevelReading', [
  electricSounder.schema,
  airLine.schema,
  transducer.schema,
  acoustic.schema,
])
export type LevelReading = Static<typeof LevelReading>

/** Depth of the water, and its trend, by the method the sheet names. */
export function measureLevel(readings: LevelReading, around: LevelSurroundings): LevelMeasured {
  switch (readings.method) {
    case 'electric-sounder':
      return electricSounder.measure(readings, around)
    case 'air-line':
      return airLine.measure(readings, around)
    case 'transducer':
      return transducer.measure(readings, around)
    case 'acoustic':
      return acoustic.measure(readings, around)
  }
}
