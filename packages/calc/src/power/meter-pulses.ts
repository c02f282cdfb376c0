/** Input power by timing the pulses or blinks of the utility meter. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { blinkPower } from '../formulas/blink-power.ts'
import { inputPower } from '../formulas/input-power.ts'
import { meanPower } from '../formulas/mean-power.ts'
import { pulsePower } from '../formulas/pulse-power.ts'
import { timingSpread } from '../formulas/timing-spread.ts'
import type { Node } from '../graph.ts'
import { Instant, positiveReading, type Reading } from '../readings.ts'
import { leafKind, type Surroundings } from '../surroundings.ts'
import { toSi } from '../units.ts'
import { definePowerMethod, NO_POWER, type PowerMeasured } from './power-method.ts'
import { collectMeterFacts, meterMembers, widenClass, withoutOtherLoads } from './supply.ts'
import { collectTimings, measureTimings } from './timings.ts'

const ENERGY = leafKind('Energy of one pulse', 'energy-per-pulse')
const CONSTANT = leafKind('Pulses for a unit of energy', 'pulses-per-energy')
const MULTIPLIER = leafKind('Multiplier of the meter', 'ratio')
const PULSES = leafKind('Pulses of the meter', 'pulses')

const Timing = Type.Object(
  {
    pulses: positiveReading('pulses', 'Whole pulses or blinks counted.'),
    elapsed: positiveReading('time', 'Time they took.'),
    at: Type.Optional(Instant('When the timing began.')),
  },
  { title: 'PulseTiming', description: 'One timing of the pulses.', additionalProperties: false },
)

const schema = Type.Object(
  {
    method: Type.Literal('meter-pulses', { description: 'Timed pulses or blinks of the meter.' }),
    point: Type.Enum(['supply'], { description: 'Where power was read: at the supply of the plant.' }),
    energyPerPulse: Type.Optional(
      positiveReading('energy-per-pulse', 'Energy of one pulse, from the meter; or give `pulseConstant`.'),
    ),
    pulseConstant: Type.Optional(
      positiveReading(
        'pulses-per-energy',
        'Blinks for a kilowatt-hour, from the meter’s face; or give `energyPerPulse`.',
      ),
    ),
    timings: Type.Array(Timing, { maxItems: 20, description: 'Repeated timings, in order.' }),
    ...meterMembers,
  },
  { title: 'MeterPulses', description: 'Input power by timing the meter’s pulses.', additionalProperties: false },
)
type MeterPulses = Static<typeof schema>

/** Energy in J of one pulse, as stated one way or the other. */
function energyOfPulse({ energyPerPulse, pulseConstant }: MeterPulses): number | undefined {
  if (energyPerPulse !== undefined) return toSi(energyPerPulse, 'energy-per-pulse')
  return pulseConstant === undefined ? undefined : 1 / toSi(pulseConstant, 'pulses-per-energy')
}

function measure(readings: MeterPulses, place: string, around: Surroundings): PowerMeasured {
  const { graph, facts } = around
  const timings = readings.timings.map((timing) => ({ ...timing, count: timing.pulses }))
  collectMeterFacts(readings, around)
  collectTimings(timings, around)
  facts.meterConstant = energyOfPulse(readings)
  const { energyPerPulse, pulseConstant } = readings
  if (facts.meterConstant === undefined || readings.multiplier === undefined || timings.length === 0) return NO_POWER

  const multiplier = graph.leaf(MULTIPLIER, `${place}/multiplier`, readings.multiplier)
  const pulsesOf = (count: Reading, i: number): Node => graph.leaf(PULSES, `${place}/timings/${i}/pulses`, count)
  const energy = energyPerPulse && graph.leaf(ENERGY, `${place}/energyPerPulse`, energyPerPulse)
  const constant = pulseConstant && graph.leaf(CONSTANT, `${place}/pulseConstant`, pulseConstant)
  const { metered, spread } = measureTimings(
    timings,
    ({ count }, i, elapsed) =>
      energy === undefined
        ? graph.apply(blinkPower, { constant: constant!, pulses: pulsesOf(count, i), multiplier, elapsed })
        : graph.apply(pulsePower, { energy, pulses: pulsesOf(count, i), multiplier, elapsed }),
    place,
    around,
  )
  widenClass(metered, 'meter-class-electronic', around)
  return { power: withoutOtherLoads(metered, readings, place, around), spread }
}

export const meterPulses = definePowerMethod({
  id: 'meter-pulses',
  title: 'Timed pulses of the utility meter',
  schema,
  formulas: [pulsePower, blinkPower, meanPower, timingSpread, inputPower] as unknown as readonly AnyFormula[],
  source: {
    document: 'common practice',
    place: 'the pulses of the utility meter are timed from outside, several times',
    basis: 'common practice',
  },
  cautions: ['electrical-panel'],
  measure,
})
