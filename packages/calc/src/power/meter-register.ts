/** Input power by the register of the utility meter: energy between two readings, over the time between them. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { inputPower } from '../formulas/input-power.ts'
import { intervalPower } from '../formulas/interval-power.ts'
import { registerEnergy } from '../formulas/register-energy.ts'
import type { ComponentKind, Node } from '../graph.ts'
import { positiveReading, reading } from '../readings.ts'
import { leafKind, type Surroundings, widen } from '../surroundings.ts'
import { toSi, unitSize } from '../units.ts'
import { writtenStep } from '../written-step.ts'
import { atSupply, PowerPoint } from './drive.ts'
import { definePowerMethod, NO_POWER, type PowerMeasured } from './power-method.ts'
import { collectMeterFacts, meterMembers, widenClass, withoutOtherLoads } from './supply.ts'

const START = leafKind('Register at the start', 'energy')
const END = leafKind('Register at the end', 'energy')
const ROLLOVER = leafKind('Energy at which the register starts anew', 'energy')
const NO_ROLLOVER = { value: 0, unit: 'kWh' } as const
const MULTIPLIER = leafKind('Multiplier of the register', 'ratio')
const ELAPSED = leafKind('Time between the readings of the register', 'time')
/** Two readings, each off by up to half a digit: their difference has a triangular distribution, u = digit ÷ √6. */
const LAST_DIGIT: ComponentKind = {
  id: 'register-step',
  label: 'Last digit of the energy register',
  action: 'repeat',
  source: { document: 'JCGM 100:2008', place: '4.3.9 and F.2.2.1, triangular distribution', basis: 'from memory' },
  unit: 'J',
}

const schema = Type.Object(
  {
    method: Type.Literal('meter-register', { description: 'Energy on the register of the meter, timed.' }),
    point: PowerPoint,
    start: reading('energy', 'Register at the start, without the multiplier.'),
    end: reading('energy', 'Register at the end, without the multiplier.'),
    step: Type.Optional(
      positiveReading('energy', 'Smallest digit or division of the register, without the multiplier.'),
    ),
    modulus: Type.Optional(
      positiveReading('energy', 'Energy at which the register starts again from zero, without the multiplier.'),
    ),
    elapsed: positiveReading('time', 'Time between the two readings, the pump running as tested all the while.'),
    ...meterMembers,
  },
  { title: 'MeterRegister', description: 'Input power by the register of the meter.', additionalProperties: false },
)
type MeterRegister = Static<typeof schema>

/** Smallest step of the register in J, without the multiplier: as stated, or the last digit that was written. */
function stepOfRegister({ step, start, end }: MeterRegister): number {
  if (step !== undefined) return toSi(step, 'energy')
  return Math.min(...[start, end].map(({ value, unit }) => writtenStep(value) * unitSize(unit, 'energy')))
}

/** Energy between the readings, multiplier included; undefined where the register can't have gone that way. */
function energyOf(readings: MeterRegister, place: string, { graph, facts }: Surroundings): Node | undefined {
  const { start, end, multiplier, modulus } = readings
  const wentBack = toSi(end, 'energy') < toSi(start, 'energy')
  if (multiplier === undefined || (wentBack && modulus === undefined)) return undefined
  const factor = graph.leaf(MULTIPLIER, `${place}/multiplier`, multiplier)
  const energy = graph.apply(registerEnergy, {
    start: graph.leaf(START, `${place}/start`, start),
    end: graph.leaf(END, `${place}/end`, end),
    rollover:
      wentBack && modulus !== undefined
        ? graph.leaf(ROLLOVER, `${place}/modulus`, modulus)
        : graph.leaf(ROLLOVER, 'edition/no-rollover', NO_ROLLOVER),
    multiplier: factor,
  })
  const digit = stepOfRegister(readings) * graph.values[factor]!
  facts.registerStep = digit
  facts.registerEnergy = graph.values[energy]!
  const at = `${place}/end`
  graph.act(
    graph.component({ kind: LAST_DIGIT, place: at, group: at, u: digit / Math.sqrt(6), dof: Infinity }),
    energy,
    1,
  )
  return energy
}

function measure(readings: MeterRegister, place: string, around: Surroundings): PowerMeasured {
  const { graph } = around
  collectMeterFacts(readings, around)
  const energy = energyOf(readings, place, around)
  if (energy === undefined) return NO_POWER
  const at = `${place}/elapsed`
  const elapsed = graph.leaf(ELAPSED, at, readings.elapsed)
  widen(around, 'timing-reaction', 'repeat', at, at, elapsed, 1)
  const registered = graph.apply(intervalPower, { energy, elapsed })
  widenClass(registered, 'meter-class-electronic', around)
  const metered = atSupply(registered, readings.point, around)
  return { power: withoutOtherLoads(metered, readings, place, around), spread: undefined }
}

export const meterRegister = definePowerMethod({
  id: 'meter-register',
  title: 'Register of the utility meter, timed',
  schema,
  formulas: [registerEnergy, intervalPower, inputPower] as unknown as readonly AnyFormula[],
  source: { document: 'common practice', place: 'energy on the register over time', basis: 'common practice' },
  cautions: ['electrical-panel'],
  measure,
})
