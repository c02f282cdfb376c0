/** Input power by volts, amperes and power factor, read by qualified staff. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { currentUnbalance } from '../formulas/current-unbalance.ts'
import { driveInputPower } from '../formulas/drive-input-power.ts'
import { inputPower } from '../formulas/input-power.ts'
import { meanCurrent } from '../formulas/mean-current.ts'
import { meanVoltage } from '../formulas/mean-voltage.ts'
import { primaryPower } from '../formulas/primary-power.ts'
import { singlePhasePower } from '../formulas/single-phase-power.ts'
import { threePhasePower } from '../formulas/three-phase-power.ts'
import { voltageUnbalance } from '../formulas/voltage-unbalance.ts'
import { Code } from '../readings.ts'
import type { Surroundings } from '../surroundings.ts'
import { PowerPoint } from './drive.ts'
import { electricalMembers, measureElectrical } from './electrical.ts'
import { definePowerMethod, NO_POWER, type PowerMeasured } from './power-method.ts'
import { supplyMembers, withoutOtherLoads } from './supply.ts'

const schema = Type.Object(
  {
    method: Type.Literal('volts-amps', { description: 'Volts, amperes and power factor.' }),
    point: PowerPoint,
    ...electricalMembers,
    instrument: Type.Optional(Code('Code of the clamp, where it is another instrument than the one named for power.')),
    ...supplyMembers,
  },
  {
    title: 'VoltsAmps',
    description: 'Input power by volts, amperes and power factor. Read inside a panel by qualified staff only.',
    additionalProperties: false,
  },
)
type VoltsAmps = Static<typeof schema>

function measure(readings: VoltsAmps, place: string, around: Surroundings): PowerMeasured {
  const { facts } = around
  facts.voltsAmps = true
  facts.otherLoads = readings.otherLoads
  const electrical = measureElectrical(readings, place, readings.instrument ?? around.clamp, around)
  if (electrical.power === undefined) return { ...NO_POWER, electrical }
  return { power: withoutOtherLoads(electrical.power, readings, place, around), spread: undefined, electrical }
}

export const voltsAmps = definePowerMethod({
  id: 'volts-amps',
  title: 'Volts, amperes and power factor',
  schema,
  formulas: [
    meanVoltage,
    meanCurrent,
    threePhasePower,
    singlePhasePower,
    voltageUnbalance,
    currentUnbalance,
    primaryPower,
    driveInputPower,
    inputPower,
  ] as unknown as readonly AnyFormula[],
  source: { document: 'general electrical engineering', place: 'power of a supply', basis: 'from memory' },
  cautions: ['electrical-panel', 'arc-flash', 'capacitors-and-drives', 'current-transformers', 'lock-out', 'alone'],
  measure,
})
