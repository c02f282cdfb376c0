/** Powers of a run: input power, what volts and amperes say beside it, the load of the motor, and the ratios. */
import type { Facts } from './findings/facts.ts'
import { costPerVolume } from './formulas/cost-per-volume.ts'
import { energyPerVolume } from './formulas/energy-per-volume.ts'
import { energyPerVolumeAndHead } from './formulas/energy-per-volume-and-head.ts'
import { leastEnergyPerVolumeAndHead } from './formulas/least-energy-per-volume-and-head.ts'
import { motorInputPower } from './formulas/motor-input-power.ts'
import { motorLoad } from './formulas/motor-load.ts'
import { overallPlantEfficiency } from './formulas/overall-plant-efficiency.ts'
import { waterPower } from './formulas/water-power.ts'
import type { LeafKind, Node } from './graph.ts'
import { driveEfficiencyNode } from './power/drive.ts'
import { type ElectricalMeasured, measureElectrical } from './power/electrical.ts'
import { measurePower } from './power/list.ts'
import type { Run } from './sheet.ts'
import { leafKind, type Surroundings, widen } from './surroundings.ts'
import type { Quantities, Visit } from './visit.ts'

const RATED_POWER = leafKind('Rated power of the motor', 'power')
const MOTOR_EFFICIENCY = leafKind('Efficiency of the motor by its nameplate', 'ratio')
const JOULES_PER_KWH = 3.6e6
/** The price stands for a kWh of any currency; the calculation holds it for a joule. */
const ENERGY_RATE: LeafKind = {
  title: 'Price of energy',
  unit: 'currency/J',
  toSi: (rate) => rate.value / JOULES_PER_KWH,
  unitSize: () => 1 / JOULES_PER_KWH,
}

function setElectrical(electrical: ElectricalMeasured, quantities: Quantities): void {
  const { power, voltageUnbalance, currentUnbalance } = electrical
  if (power !== undefined) quantities.set('panel-power', power)
  if (voltageUnbalance !== undefined) quantities.set('voltage-unbalance', voltageUnbalance)
  if (currentUnbalance !== undefined) quantities.set('current-unbalance', currentUnbalance)
}

/** Load of the motor, where its nameplate is on record and a motor it is. */
function measureMotorLoad(inputPower: Node, quantities: Quantities, around: Surroundings): void {
  const { graph, equipment } = around
  if (equipment?.driver === 'engine' || !equipment?.ratedPower || equipment.motorEfficiency === undefined) return
  const at = 'plant/equipment/motorEfficiency'
  const motorEfficiency = graph.leaf(MOTOR_EFFICIENCY, at, { value: equipment.motorEfficiency, unit: '1' })
  widen(around, 'motor-losses', 'measure', at, at, motorEfficiency, 1 - equipment.motorEfficiency)
  const motorPower =
    equipment.drive === 'variable-frequency'
      ? graph.apply(motorInputPower, { inputPower, driveEfficiency: driveEfficiencyNode(around) })
      : inputPower
  const ratedPower = graph.leaf(RATED_POWER, 'plant/equipment/ratedPower', equipment.ratedPower)
  quantities.set('motor-load', graph.apply(motorLoad, { motorPower, motorEfficiency, ratedPower }))
}

/** Input power by the method of the sheet, the second opinion beside it, and the load of the motor. */
export function measureInputPower(
  run: Run,
  place: string,
  quantities: Quantities,
  facts: Facts,
  around: Surroundings,
): void {
  if (run.power !== undefined) {
    const { power, spread, electrical } = measurePower(run.power, `${place}/power`, around)
    if (power !== undefined) quantities.set('input-power', power)
    if (spread !== undefined) quantities.set('timing-spread', spread)
    if (electrical !== undefined) setElectrical(electrical, quantities)
  }
  if (run.electrical !== undefined && !facts.voltsAmps)
    setElectrical(measureElectrical(run.electrical, `${place}/electrical`, around.clamp, around), quantities)
  const inputPower = quantities.get('input-power')
  if (inputPower !== undefined) measureMotorLoad(inputPower, quantities, around)
}

/** Water power and overall plant efficiency, on the head that the edition counts and on the head without velocity head. */
function addEfficiencies(visit: Visit, quantities: Quantities, density: Node, head: Node | undefined): void {
  const { graph } = visit
  const flow = quantities.get('flow')
  const inputPower = quantities.get('input-power')
  const field = quantities.get('field-head')
  if (flow === undefined) return
  if (head !== undefined) {
    const power = graph.apply(waterPower, { density, flow, head })
    quantities.set('water-power', power)
    if (inputPower !== undefined) {
      const efficiency = graph.apply(overallPlantEfficiency, { waterPower: power, inputPower })
      quantities.set('overall-plant-efficiency', efficiency)
      // The same ratio in the units of the trade: horsepower-hours of water for a kilowatt-hour bought.
      quantities.set('water-work-per-energy', efficiency)
    }
  }
  if (inputPower === undefined || field === undefined) return
  const onField = graph.apply(waterPower, { density, flow, head: field })
  quantities.set(
    'overall-plant-efficiency-on-field-head',
    graph.apply(overallPlantEfficiency, { waterPower: onField, inputPower }),
  )
}

/** Everything that follows from flow, head and input power. */
export function addPowers(visit: Visit, quantities: Quantities, density: Node): void {
  const { graph, edition } = visit
  const flow = quantities.get('flow')
  const inputPower = quantities.get('input-power')
  const head = quantities.get(edition.settings.velocityHead === 'include' ? 'total-dynamic-head' : 'field-head')
  addEfficiencies(visit, quantities, density, head)
  quantities.set('least-energy-per-volume-and-head', graph.apply(leastEnergyPerVolumeAndHead, { density }))
  if (flow === undefined || inputPower === undefined) return
  const energy = graph.apply(energyPerVolume, { inputPower, flow })
  quantities.set('energy-per-volume', energy)
  if (head !== undefined)
    quantities.set('energy-per-volume-and-head', graph.apply(energyPerVolumeAndHead, { energyPerVolume: energy, head }))
  const rate = visit.sheet.economics?.energyRate
  if (rate === undefined) return
  const leaf = graph.leaf(ENERGY_RATE, '/economics/energyRate', rate)
  quantities.set('cost-per-volume', graph.apply(costPerVolume, { energyPerVolume: energy, rate: leaf }))
}
