/** What every reading at the supply of a plant shares: other loads on it, and what feeds in behind the meter. */
import { type Static, type TObject, Type } from 'typebox'
import { inputPower } from '../formulas/input-power.ts'
import type { Node } from '../graph.ts'
import { Code, positiveReading } from '../readings.ts'
import { leafKind, type Surroundings, widen } from '../surroundings.ts'
import { toSi } from '../units.ts'

const OTHER_LOAD = leafKind('Other load on the meter', 'power')

/** Members of every power method. */
export const supplyMembers = {
  otherLoads: Type.Optional(
    Type.Enum(['none', 'off', 'measured', 'on-not-measured'], {
      description: 'Other loads behind the place where power was read.',
    }),
  ),
  otherLoad: Type.Optional(positiveReading('power', 'Power of the other loads, if they were measured.')),
} as const

/** Members of the methods that read the utility meter. */
export const meterMembers = {
  multiplier: Type.Optional(
    positiveReading('ratio', 'Multiplier not contained in the constant or display; 1 if there is none.'),
  ),
  meterSerial: Type.Optional(Code('Serial number of the meter.')),
  ...supplyMembers,
  generationBehindMeter: Type.Optional(
    Type.Boolean({ description: 'True if a generator or panels feed the same meter.' }),
  ),
} as const

const SupplyReadings: TObject<typeof supplyMembers> = Type.Object(supplyMembers)
const MeterReadings: TObject<typeof meterMembers> = Type.Object(meterMembers)
type SupplyReadings = Static<typeof SupplyReadings>
export type MeterReadings = Static<typeof MeterReadings>

/** Facts of any reading of the utility meter. */
export function collectMeterFacts(readings: MeterReadings, { facts }: Surroundings): void {
  facts.utilityMeter = true
  facts.otherLoads = readings.otherLoads
  facts.generationBehindMeter = readings.generationBehindMeter
  facts.meterMultiplier = readings.multiplier && toSi(readings.multiplier, 'ratio')
  facts.meterSerial = readings.meterSerial
}

/** Power of the plant: what was read less the other loads, if they were measured. */
export function withoutOtherLoads(metered: Node, readings: SupplyReadings, place: string, around: Surroundings): Node {
  if (readings.otherLoads !== 'measured' || readings.otherLoad === undefined) return metered
  const { graph } = around
  const at = `${place}/otherLoad`
  const otherLoad = graph.leaf(OTHER_LOAD, at, readings.otherLoad)
  widen(around, 'other-load', 'measure', at, at, otherLoad, graph.values[otherLoad]!)
  return graph.apply(inputPower, { metered, otherLoad })
}

/** Lets the class of the utility meter act on the power it gives. */
export function widenClass(
  metered: Node,
  name: 'meter-class-mechanical' | 'meter-class-electronic',
  around: Surroundings,
): void {
  const at = `edition/${name}`
  widen(around, name, 'better-instrument', at, at, metered, around.graph.values[metered]!)
}
