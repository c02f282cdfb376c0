/** Input power as each method would have it read. */
import type { Sheet } from '@liftledger/calc'
import type { Clamp } from './kit.ts'
import type { UtilityMeter } from './plant-truth.ts'
import type { Random } from './random.ts'
import { type Clock, toDigits, toStep, written } from './reading.ts'

export type PowerReadings = NonNullable<Sheet['runs'][number]['power']>
export type PowerMethod = 'meter-revolutions' | 'meter-pulses' | 'meter-display' | 'volts-amps'

export interface PowerScene {
  /** W. */
  readonly power: number
  readonly motorLoad: number
  readonly meter: UtilityMeter
  readonly clamp: Clamp
  readonly clock: Clock
  /** Minutes after midnight at which power is read. */
  readonly at: number
}

/** A stopwatch by hand is off at both ends (common practice). */
const REACTION_SECONDS = 0.15
/** Power swings a little from one timing to the next. */
const SWING = 0.002
const LEAST_SECONDS = 30

/** Three timings of so many whole counts that each takes half a minute. */
function timings(random: Random, { power, meter, clock, at }: PowerScene) {
  const shown = power * meter.scale
  const perCount = (meter.constant * 3600 * meter.multiplier) / shown
  const count = Math.max(5, Math.ceil(LEAST_SECONDS / perCount))
  return Array.from({ length: 3 }, (_, i) => ({
    count,
    elapsed: written((count * perCount) / (1 + random.normal(SWING)) + random.normal(REACTION_SECONDS), 's', 0.1),
    at: clock(at + 3 * i),
  }))
}

function writeVoltsAmps(random: Random, { power, motorLoad, clamp }: PowerScene): PowerReadings {
  const powerFactor = Math.min(0.9, 0.7 + 0.17 * motorLoad)
  const voltage = random.between(452, 486)
  const current = power / Math.sqrt(3) / voltage / powerFactor
  // Three lines that differ by little and are on average what they are.
  const lines = (spread: number): number[] => {
    const [a, b] = [random.within(spread), random.within(spread)]
    return [1 + a, 1 + b, 1 - a - b]
  }
  return {
    method: 'volts-amps',
    point: 'supply',
    phases: 'three',
    voltages: lines(0.003).map((share) => written(voltage * share * (1 + clamp.voltage), 'V', 1)),
    currents: lines(0.015).map((share) => written(current * share * (1 + clamp.current), 'A', 0.1)),
    powerFactor: { value: Math.min(1, toStep(powerFactor * (1 + clamp.powerFactor), 0.01)), unit: '1' },
    otherLoads: 'none',
  }
}

const OF_METER = { disk: 'meter-revolutions', pulses: 'meter-pulses', display: 'meter-display' } as const
export const methodOfMeter = ({ kind }: UtilityMeter): PowerMethod => OF_METER[kind]

/** Readings of power by one method. */
export function writePower(random: Random, method: PowerMethod, scene: PowerScene): PowerReadings {
  const { meter } = scene
  const shared = {
    point: 'supply',
    multiplier: { value: meter.multiplier, unit: '1' },
    meterSerial: meter.serial,
    otherLoads: 'none',
  } as const
  switch (method) {
    case 'meter-revolutions':
      return {
        method,
        ...shared,
        kh: { value: meter.constant, unit: 'Wh/rev' },
        timings: timings(random, scene).map(({ count, ...rest }) => ({
          revolutions: { value: count, unit: 'rev' },
          ...rest,
        })),
      }
    case 'meter-pulses':
      return {
        method,
        ...shared,
        energyPerPulse: { value: meter.constant, unit: 'Wh/pulse' },
        timings: timings(random, scene).map(({ count, ...rest }) => ({
          pulses: { value: count, unit: 'pulse' },
          ...rest,
        })),
      }
    case 'meter-display': {
      const shown = () => (scene.power * meter.scale * (1 + random.normal(SWING))) / meter.multiplier / 1000
      return {
        method,
        ...shared,
        readings: Array.from({ length: 4 }, () => ({ value: toDigits(shown(), 3), unit: 'kW' })),
      }
    }
    case 'volts-amps':
      return writeVoltsAmps(random, scene)
  }
}
