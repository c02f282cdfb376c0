/** Patterns in the digits and times of readings that chance does not make. */
import { logarithm } from '../elementary.ts'
import { type NoisyReading, noisyReadings, noisyReadingsOfRun } from '../noisy-readings.ts'
import { standsStill } from '../shared-readings.ts'
import type { Run, Sheet } from '../sheet.ts'
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

/** Zeros before the point may be digits that the display does not have: 1500 may have been shown in hundreds. */
function coarsestStep({ value, step }: NoisyReading): number {
  let coarsest = step
  if (value === 0) return coarsest
  while (coarsest >= 1 && value % (coarsest * 10) === 0) coarsest *= 10
  return coarsest
}

/** Several fillings, timings, rates or powers of one group; a level at rest reads alike, columns are of many points. */
const isRepeat = ({ kind }: NoisyReading): boolean => kind === 'timing' || kind === 'rate' || kind === 'power'

/** How round the readings of a sheet are. */
export function collectRoundness(sheet: Sheet, facts: Facts): void {
  let digits = 0
  let round = 0
  const readings = noisyReadings(sheet)
  for (const [i, { kind, value, step, stepStated }] of readings.entries()) {
    if (standsStill(readings, i)) continue
    // A scale may have half divisions; only of one that is read in tenths are 0 and 5 rare.
    if ((kind === 'column' && !stepStated) || !isPowerOfTen(step)) continue
    digits += 1
    if (Math.round(Math.abs(value) / step) % 5 === 0) round += 1
  }
  facts.digitCount = digits
  if (digits > 0) facts.roundShare = round / digits
}

function isPowerOfTen(step: number): boolean {
  const tens = logarithm(step) / Math.LN10
  return Math.abs(tens - Math.round(tens)) < 1e-9
}

/** The largest group of equal repeats of a run. */
export function collectEqualRepeats(run: Run, index: number, facts: Facts): void {
  const byGroup = new Map<string, NoisyReading[]>()
  for (const reading of noisyReadingsOfRun(run, index)) {
    if (!isRepeat(reading)) continue
    const group = byGroup.get(reading.group)
    if (group === undefined) byGroup.set(reading.group, [reading])
    else group.push(reading)
  }
  for (const repeats of byGroup.values()) {
    const first = repeats[0]!
    if (first.value === 0 || repeats.some(({ value, unit }) => value !== first.value || unit !== first.unit)) continue
    if ((facts.equalRepeats ?? 0) >= repeats.length) continue
    facts.equalRepeats = repeats.length
    facts.equalRepeatsStep = coarsestStep(first) / Math.abs(first.value)
    facts.equalRepeatsText = `${first.value} ${first.unit}`
  }
}
