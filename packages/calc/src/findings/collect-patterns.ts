/** Patterns in the digits and times of readings that chance does not make. */
import { flowsOfRun } from '../flow/flow-of-run.ts'
import { noisyReadings } from '../noisy-readings.ts'
import { standsStill } from '../readings-in-common.ts'
import type { Run, Sheet } from '../sheet.ts'
import { writtenStep } from '../written-step.ts'
import type { Facts } from './facts.ts'

const FIVE_MINUTES_S = 300

/** How the distinct moments of a run's readings follow each other, if by a pattern. Seconds. */
export function collectTimePattern(moments: ReadonlySet<number>, facts: Facts): void {
  const times = [...moments].sort((a, b) => a - b)
  facts.readTimeCount = times.length
  facts.readTimePattern = ''
  if (times.length < 2) return
  const distance = times[1]! - times[0]!
  if (times.every((time) => time % FIVE_MINUTES_S === 0)) facts.readTimePattern = 'on full five minutes'
  else if (times.every((time, i) => i === 0 || time - times[i - 1]! === distance))
    facts.readTimePattern = 'equally spaced, to the second'
}

/** Largest step that a repeat may have been shown in: 1500 may have been shown in hundreds. */
function coarsestStep(value: number): number {
  let coarsest = writtenStep(value)
  while (coarsest >= 1 && value % (coarsest * 10) === 0) coarsest *= 10
  return coarsest
}

/** How round the readings of a sheet are. */
export function collectRoundness(sheet: Sheet, facts: Facts): void {
  let digits = 0
  let round = 0
  const readings = noisyReadings(sheet)
  for (let i = 0; i < readings.length; i++) {
    const { kind, value, step, stepStated } = readings[i]!
    // A scale may have half divisions; only of one that is read in tenths are 0 and 5 rare.
    if (stepStated ? !DECIMAL_STEPS.includes(step) : kind === 'column') continue
    if (standsStill(readings, i)) continue
    digits += 1
    if (Math.round(Math.abs(value) / step) % 5 === 0) round += 1
  }
  facts.digitCount = digits
  if (digits > 0) facts.roundShare = round / digits
}

const DECIMAL_STEPS = [100, 10, 1, 0.1, 0.01, 0.001, 0.0001]

interface Repeat {
  readonly value: number
  readonly unit: string
}

/** Keeps a group of repeats if all are equal and more than those kept. */
function keepEqual(count: number, repeatAt: (i: number) => Repeat, facts: Facts): void {
  if (count < 2 || count <= (facts.equalRepeats ?? 0)) return
  const { value, unit } = repeatAt(0)
  for (let i = 1; i < count; i++) {
    const other = repeatAt(i)
    if (other.value !== value || other.unit !== unit) return
  }
  if (value === 0) return
  facts.equalRepeats = count
  facts.equalRepeatsStep = coarsestStep(value) / Math.abs(value)
  facts.equalRepeatsText = `${value} ${unit}`
}

/** The largest group of equal timings, rates or powers of a run; a level at rest reads alike, columns are of many points. */
export function collectEqualRepeats(run: Run, facts: Facts): void {
  for (const { readings } of flowsOfRun(run)) {
    if ('rates' in readings) keepEqual(readings.rates.length, (i) => readings.rates[i]!, facts)
    else if ('velocities' in readings) keepEqual(readings.velocities.length, (i) => readings.velocities[i]!, facts)
    else if ('fillings' in readings) keepEqual(readings.fillings.length, (i) => readings.fillings[i]!.elapsed, facts)
  }
  const { power } = run
  if (power === undefined) return
  if ('timings' in power) keepEqual(power.timings.length, (i) => power.timings[i]!.elapsed, facts)
  else if ('readings' in power) keepEqual(power.readings.length, (i) => power.readings[i]!, facts)
}
