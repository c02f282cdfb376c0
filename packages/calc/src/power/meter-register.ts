/** Input power by the register of the utility meter: energy between two readings, over the time between them. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { inputPower } from '../formulas/input-power.ts'
import { intervalPower } from '../formulas/interval-power.ts'
import { registerEnergy } from '../formulas/register-energy.ts'
import { positiveReading, reading } from '../readings.ts'
import { measureRegister, registerKind } from '../register.ts'
import { leafKind, type Surroundings, widen } from '../surroundings.ts'
import { atSupply, PowerPoint } from './drive.ts'
import { definePowerMethod, NO_POWER, type PowerMeasured } from './power-method.ts'
import { collectMeterFacts, meterMembers, widenClass, withoutOtherLoads } from './supply.ts'

const ELAPSED = leafKind('Time between the readings of the register', 'time')
const REGISTER = registerKind(
  'energy',
  {
    register: 'Register',
    rollover: 'Energy at which the register starts anew',
    id: 'register-step',
    step: 'Last digit of the energy register',
  },
  (graph, inputs) => graph.apply(registerEnergy, inputs),
)

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

function measure(readings: MeterRegister, place: string, around: Surroundings): PowerMeasured {
  const { graph, facts } = around
  collectMeterFacts(readings, around)
  const registered = measureRegister(readings, place, REGISTER, graph)
  if (registered === undefined) return NO_POWER
  const { passed: energy, digit } = registered
  facts.registerStep = digit
  facts.registerEnergy = graph.values[energy]!
  const at = `${place}/elapsed`
  const elapsed = graph.leaf(ELAPSED, at, readings.elapsed)
  widen(around, 'timing-reaction', 'repeat', at, at, elapsed, 1)
  const power = graph.apply(intervalPower, { energy, elapsed })
  widenClass(power, 'meter-class-electronic', around)
  const metered = atSupply(power, readings.point, around)
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
