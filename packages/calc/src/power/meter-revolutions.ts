/** Input power by timing the revolutions of the utility meter's disk. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { diskPower } from '../formulas/disk-power.ts'
import { inputPower } from '../formulas/input-power.ts'
import { meanPower } from '../formulas/mean-power.ts'
import { timingSpread } from '../formulas/timing-spread.ts'
import { Instant, positiveReading } from '../readings.ts'
import { leafKind, type Surroundings } from '../surroundings.ts'
import { toSi } from '../units.ts'
import { definePowerMethod, NO_POWER, type PowerMeasured } from './power-method.ts'
import { collectMeterFacts, meterMembers, widenClass, withoutOtherLoads } from './supply.ts'
import { collectTimings, measureTimings } from './timings.ts'

const CONSTANT = leafKind('Constant Kh of the meter', 'energy-per-revolution')
const MULTIPLIER = leafKind('Multiplier of the meter', 'ratio')
const REVOLUTIONS = leafKind('Revolutions of the disk', 'revolutions')

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
    timings: Type.Array(Timing, { maxItems: 20, description: 'Repeated timings, in order.' }),
    ...meterMembers,
  },
  { title: 'MeterRevolutions', description: 'Input power by timing the meter’s disk.', additionalProperties: false },
)
type MeterRevolutions = Static<typeof schema>

function measure(readings: MeterRevolutions, place: string, around: Surroundings): PowerMeasured {
  const { graph, facts } = around
  const timings = readings.timings.map((timing) => ({ ...timing, count: timing.revolutions }))
  collectMeterFacts(readings, around)
  collectTimings(timings, around)
  facts.diskMeter = true
  facts.meterConstant = readings.kh && toSi(readings.kh, 'energy-per-revolution')
  for (const { value } of timings.map(({ count }) => count))
    if (facts.fewestRevolutions === undefined || value < facts.fewestRevolutions) facts.fewestRevolutions = value
  if (readings.kh === undefined || readings.multiplier === undefined || timings.length === 0) return NO_POWER

  const constant = graph.leaf(CONSTANT, `${place}/kh`, readings.kh)
  const multiplier = graph.leaf(MULTIPLIER, `${place}/multiplier`, readings.multiplier)
  const { metered, spread } = measureTimings(
    timings,
    ({ count }, i, elapsed) => {
      const revolutions = graph.leaf(REVOLUTIONS, `${place}/timings/${i}/revolutions`, count)
      return graph.apply(diskPower, { constant, revolutions, multiplier, elapsed })
    },
    place,
    around,
  )
  widenClass(metered, 'meter-class-mechanical', around)
  return { power: withoutOtherLoads(metered, readings, place, around), spread }
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
