/** Timings of the utility meter: whole counts of its disk or its pulses, and the time they took. */
import { meanPower } from '../formulas/mean-power.ts'
import { timingSpread } from '../formulas/timing-spread.ts'
import type { Node } from '../graph.ts'
import { secondsOf } from '../instants.ts'
import type { Reading } from '../readings.ts'
import { scatterKind } from '../repeats.ts'
import { leafKind, type Surroundings } from '../surroundings.ts'
import { actTimed } from '../timed.ts'
import { toSi } from '../units.ts'

const ELAPSED = leafKind('Time for the counts', 'time')
const SCATTER = scatterKind('timing-scatter', 'Scatter of the timings', 'power')

/** One timing: counts of the disk or of pulses. */
export interface Timing {
  readonly count: Reading
  readonly elapsed: Reading
  readonly at?: string
}

/** Spread of the powers if one count of one timing were one more or one less: the smallest that can be had. */
function spreadIfOneCountWereOff(powers: readonly number[], counts: readonly number[]): number {
  let best = Number.POSITIVE_INFINITY
  for (let changed = 0; changed < powers.length; changed++) {
    for (const step of [-1, 1]) {
      const count = counts[changed]!
      if (count + step <= 0) continue
      let largest = 0
      let smallest = Number.POSITIVE_INFINITY
      let sum = 0
      for (let i = 0; i < powers.length; i++) {
        const power = i === changed ? (powers[i]! * (count + step)) / count : powers[i]!
        largest = Math.max(largest, power)
        smallest = Math.min(smallest, power)
        sum += power
      }
      best = Math.min(best, ((largest - smallest) * powers.length) / sum)
    }
  }
  return best
}

/** What findings look at in the timings. */
export function collectTimings(timings: readonly Timing[], { facts }: Surroundings): void {
  facts.timedMeter = true
  facts.timingCount = timings.length
  for (const timing of timings) {
    const elapsed = toSi(timing.elapsed, 'time')
    if (facts.shortestTiming === undefined || elapsed < facts.shortestTiming) facts.shortestTiming = elapsed
    if (timing.at === undefined) continue
    const at = secondsOf(timing.at)
    if (facts.firstTimingAt === undefined || at < facts.firstTimingAt) facts.firstTimingAt = at
    if (facts.lastTimingAt === undefined || at > facts.lastTimingAt) facts.lastTimingAt = at
  }
}

/** Mean power of the timings and their spread; `powerOf` gives the power of one timing from its time. */
export function measureTimings(
  timings: readonly Timing[],
  powerOf: (timing: Timing, index: number, elapsed: Node) => Node,
  place: string,
  around: Surroundings,
): { metered: Node; spread: Node | undefined } {
  const { graph, facts } = around
  const elapsed: Node[] = []
  const powers = timings.map((timing, i) => {
    const time = graph.leaf(ELAPSED, `${place}/timings/${i}/elapsed`, timing.elapsed)
    elapsed.push(time)
    return powerOf(timing, i, time)
  })
  const metered = graph.apply(meanPower, { powers })
  const group = `${place}/timings`
  const timed = { values: powers, elapsed, group, placeOf: (i: number) => `${group}/${i}/elapsed` }
  actTimed(metered, timed, SCATTER, around)
  if (powers.length >= 3)
    facts.spreadIfOneCountWereOff = spreadIfOneCountWereOff(
      powers.map((node) => graph.values[node]!),
      timings.map(({ count }) => count.value),
    )
  return { metered, spread: powers.length < 2 ? undefined : graph.apply(timingSpread, { powers }) }
}
