/** Input power by timing the revolutions of the utility meter's disk. */
import { type Static, Type } from 'typebox'
import type { Facts } from '../findings/facts.ts'
import type { AnyFormula } from '../formula.ts'
import { diskPower } from '../formulas/disk-power.ts'
import { inputPower } from '../formulas/input-power.ts'
import { meanPower } from '../formulas/mean-power.ts'
import { timingSpread } from '../formulas/timing-spread.ts'
import type { Node } from '../graph.ts'
import { secondsOf } from '../instants.ts'
import { Code, Instant, positiveReading } from '../readings.ts'
import { defaultKind, leafKind, type Surroundings, widen } from '../surroundings.ts'
import { sampleDeviation } from '../uncertainty.ts'
import { toSi } from '../units.ts'
import { definePowerMethod, type PowerMeasured } from './power-method.ts'

const CONSTANT = leafKind('Constant Kh of the meter', 'energy-per-revolution')
const MULTIPLIER = leafKind('Multiplier of the meter', 'ratio')
const REVOLUTIONS = leafKind('Revolutions of the disk', 'revolutions')
const ELAPSED = leafKind('Time for the revolutions', 'time')
const OTHER_LOAD = leafKind('Other load on the meter', 'power')
const SCATTER = {
  id: 'timing-scatter',
  label: 'Scatter of the timings',
  action: 'repeat',
  source: { document: 'JCGM 100:2008', place: '4.2.3, standard deviation of the mean', basis: 'from memory' },
  unit: 'W',
} as const

const Timing = Type.Object(
  {
    revolutions: positiveReading('revolutions', 'Whole revolutions counted.'),
    elapsed: positiveReading('time', 'Time they took.'),
    at: Type.Optional(Instant('When the timing began.')),
  },
  { title: 'DiskTiming', description: 'One timing of the disk.', additionalProperties: false },
)

const schema = Type.Object(
  {
    method: Type.Literal('meter-revolutions', { description: 'Timed revolutions of the meter’s disk.' }),
    point: Type.Enum(['supply'], { description: 'Where power was read: at the supply of the plant.' }),
    kh: Type.Optional(positiveReading('energy-per-revolution', 'Watt-hours of one revolution, from the meter’s face.')),
    multiplier: Type.Optional(positiveReading('ratio', 'Multiplier not contained in Kh; 1 if there is none.')),
    meterSerial: Type.Optional(Code('Serial number of the meter.')),
    otherLoads: Type.Optional(
      Type.Enum(['none', 'off', 'measured', 'on-not-measured'], { description: 'Other loads on the same meter.' }),
    ),
    otherLoad: Type.Optional(positiveReading('power', 'Power of the other loads, if they were measured.')),
    generationBehindMeter: Type.Optional(
      Type.Boolean({ description: 'True if a generator or panels feed the same meter.' }),
    ),
    timings: Type.Array(Timing, { maxItems: 20, description: 'Repeated timings, in order.' }),
  },
  { title: 'MeterRevolutions', description: 'Input power by timing the meter’s disk.', additionalProperties: false },
)
type MeterRevolutions = Static<typeof schema>

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

function collectFacts(readings: MeterRevolutions, facts: Facts): void {
  facts.diskMeter = true
  facts.otherLoads = readings.otherLoads
  facts.generationBehindMeter = readings.generationBehindMeter
  facts.meterConstant = readings.kh && toSi(readings.kh, 'energy-per-revolution')
  facts.meterMultiplier = readings.multiplier && toSi(readings.multiplier, 'ratio')
  facts.timingCount = readings.timings.length
  for (const timing of readings.timings) {
    const elapsed = toSi(timing.elapsed, 'time')
    if (facts.shortestTiming === undefined || elapsed < facts.shortestTiming) facts.shortestTiming = elapsed
    const count = timing.revolutions.value
    if (facts.fewestRevolutions === undefined || count < facts.fewestRevolutions) facts.fewestRevolutions = count
    if (timing.at === undefined) continue
    const at = secondsOf(timing.at)
    if (facts.firstTimingAt === undefined || at < facts.firstTimingAt) facts.firstTimingAt = at
    if (facts.lastTimingAt === undefined || at > facts.lastTimingAt) facts.lastTimingAt = at
  }
}

/**
 * Random error of the mean: reaction at start and stop of each timing; where the timings scatter by more
 * than that, their scatter replaces it (never both: it is the same cause).
 */
function actRandom(
  mean: Node,
  powers: readonly Node[],
  elapsed: readonly Node[],
  place: string,
  around: Surroundings,
): void {
  const { graph, edition } = around
  const n = powers.length
  const reaction = edition.defaults['timing-reaction'].u
  const values = powers.map((node) => graph.values[node]!)
  let reactionVariance = 0
  for (let i = 0; i < n; i++) {
    const ofPower = (values[i]! * reaction) / graph.values[elapsed[i]!]!
    reactionVariance += (ofPower * ofPower) / (n * n)
  }
  const scatter = n < 2 ? 0 : sampleDeviation(values) / Math.sqrt(n)
  const group = `${place}/timings`
  if (scatter * scatter > reactionVariance) {
    graph.act(graph.component({ kind: SCATTER, place: group, group, u: scatter, dof: n - 1 }), mean, 1)
    return
  }
  const kind = defaultKind(edition, 'timing-reaction', 'repeat')
  for (let i = 0; i < n; i++)
    graph.act(
      graph.component({ kind, place: `${place}/timings/${i}/elapsed`, group, u: reaction, dof: Infinity }),
      elapsed[i]!,
      1,
    )
}

function measure(readings: MeterRevolutions, place: string, around: Surroundings): PowerMeasured {
  collectFacts(readings, around.facts)
  const { graph, facts } = around
  if (readings.kh === undefined || readings.multiplier === undefined || readings.timings.length === 0)
    return { power: undefined, spread: undefined }

  const constant = graph.leaf(CONSTANT, `${place}/kh`, readings.kh)
  const multiplier = graph.leaf(MULTIPLIER, `${place}/multiplier`, readings.multiplier)
  const elapsed: Node[] = []
  const powers = readings.timings.map((timing, i) => {
    const revolutions = graph.leaf(REVOLUTIONS, `${place}/timings/${i}/revolutions`, timing.revolutions)
    const time = graph.leaf(ELAPSED, `${place}/timings/${i}/elapsed`, timing.elapsed)
    elapsed.push(time)
    return graph.apply(diskPower, { constant, revolutions, multiplier, elapsed: time })
  })
  const metered = graph.apply(meanPower, { powers })
  actRandom(metered, powers, elapsed, place, around)
  widen(
    around,
    'meter-class-mechanical',
    'better-instrument',
    'edition/meter-class-mechanical',
    'edition/meter-class-mechanical',
    metered,
    graph.values[metered]!,
  )
  const spread = powers.length < 2 ? undefined : graph.apply(timingSpread, { powers })
  if (powers.length >= 3)
    facts.spreadIfOneCountWereOff = spreadIfOneCountWereOff(
      powers.map((node) => graph.values[node]!),
      readings.timings.map((timing) => timing.revolutions.value),
    )

  if (readings.otherLoads !== 'measured' || readings.otherLoad === undefined) return { power: metered, spread }
  const at = `${place}/otherLoad`
  const otherLoad = graph.leaf(OTHER_LOAD, at, readings.otherLoad)
  widen(around, 'other-load', 'measure', at, at, otherLoad, graph.values[otherLoad]!)
  return { power: graph.apply(inputPower, { metered, otherLoad }), spread }
}

export const meterRevolutions = definePowerMethod({
  id: 'meter-revolutions',
  title: 'Timed revolutions of the utility meter’s disk',
  schema,
  formulas: [diskPower, meanPower, timingSpread, inputPower] as unknown as readonly AnyFormula[],
  source: {
    document: 'common practice',
    place: 'the utility meter is timed from outside, several times',
    basis: 'common practice',
  },
  cautions: ['electrical-panel'],
  measure,
})
