/** Powers of a run: input power, what volts and amperes say beside it, the load of the motor, and the ratios. */
import type { Facts } from './findings/facts.ts'
import { costPerVolume } from './formulas/cost-per-volume.ts'
import { energyPerVolume } from './formulas/energy-per-volume.ts'
import { energyPerVolumeAndHead } from './formulas/energy-per-volume-and-head.ts'
import { fuelCostPerVolume } from './formulas/fuel-cost-per-volume.ts'
import { fuelPerVolume } from './formulas/fuel-per-volume.ts'
import { leastEnergyPerVolumeAndHead } from './formulas/least-energy-per-volume-and-head.ts'
import { overallPlantEfficiency } from './formulas/overall-plant-efficiency.ts'
import { waterPower } from './formulas/water-power.ts'
import { waterWorkPerFuel } from './formulas/water-work-per-fuel.ts'
import type { LeafKind, Node } from './graph.ts'
import { addPumpEfficiency, measureMotor } from './motor.ts'
import { type ElectricalMeasured, measureElectrical } from './power/electrical.ts'
import { measurePower } from './power/list.ts'
import type { PlantKind, Run } from './sheet.ts'
import type { Surroundings } from './surroundings.ts'
import { type Measured, unitSize } from './units.ts'
import type { Quantities, Visit } from './visit.ts'

const JOULES_PER_KWH = 3.6e6
/** The price stands for a kWh of any currency; the calculation holds it for a joule. */
const ENERGY_RATE: LeafKind = {
  title: 'Price of energy',
  unit: 'currency/J',
  toSi: (rate) => rate.value / JOULES_PER_KWH,
  unitSize: () => 1 / JOULES_PER_KWH,
}

/** Volume that a price of fuel stands for, m³. */
const volumeOfPrice = (unit: string): number => {
  const of = unit.slice(unit.indexOf('/') + 1)
  return of === '1000 ft3' ? 1000 * unitSize('ft3', 'volume') : unitSize(of, 'volume')
}
const FUEL_PRICE: LeafKind = {
  title: 'Price of fuel',
  unit: 'currency/m3',
  toSi: (price) => price.value / volumeOfPrice(price.unit),
  unitSize: (unit) => 1 / volumeOfPrice(unit),
}

function setElectrical(electrical: ElectricalMeasured, quantities: Quantities): void {
  const { power, voltageUnbalance, currentUnbalance } = electrical
  if (power !== undefined) quantities.set('panel-power', power)
  if (voltageUnbalance !== undefined) quantities.set('voltage-unbalance', voltageUnbalance)
  if (currentUnbalance !== undefined) quantities.set('current-unbalance', currentUnbalance)
}

/** Input power by the method of the sheet, the second opinion beside it, and the load of the motor. */
export function measureInputPower(
  run: Run,
  place: string,
  kind: PlantKind,
  quantities: Quantities,
  facts: Facts,
  around: Surroundings,
): void {
  if (run.power !== undefined) {
    const { power, spread, electrical, powerFactor, fuel } = measurePower(run.power, `${place}/power`, around)
    if (power !== undefined) quantities.set('input-power', power)
    if (powerFactor !== undefined) quantities.set('power-factor', powerFactor)
    if (fuel !== undefined) quantities.set(fuel.isGas ? 'gas-rate' : 'fuel-rate', fuel.rate)
    if (spread !== undefined) quantities.set('timing-spread', spread)
    if (electrical !== undefined) setElectrical(electrical, quantities)
  }
  if (run.electrical !== undefined && !facts.voltsAmps)
    setElectrical(measureElectrical(run.electrical, `${place}/electrical`, around.clamp, around), quantities)
  const inputPower = quantities.get('input-power')
  if (inputPower !== undefined && run.power?.method !== 'fuel-volume')
    measureMotor(run, place, kind, inputPower, quantities, around)
}

interface Fuel {
  readonly rate: Node
  readonly isGas: boolean
}

/** What an engine takes; undefined where the plant is electric. Energy of fuel and of mains is never one quantity. */
function fuelOf(quantities: Quantities): Fuel | undefined {
  const [liquid, gas] = [quantities.get('fuel-rate'), quantities.get('gas-rate')]
  if (liquid !== undefined) return { rate: liquid, isGas: false }
  return gas === undefined ? undefined : { rate: gas, isGas: true }
}

/** Fuel for the water, work for the fuel, and what it costs. */
function addFuel({ graph }: Visit, quantities: Quantities, { rate, isGas }: Fuel, price: Measured | undefined): void {
  const flow = quantities.get('flow')
  const work = quantities.get('water-power')
  if (work !== undefined)
    quantities.set(
      isGas ? 'water-work-per-gas' : 'water-work-per-fuel',
      graph.apply(waterWorkPerFuel, { waterPower: work, rate }),
    )
  if (flow === undefined) return
  const perVolume = graph.apply(fuelPerVolume, { rate, flow })
  quantities.set(isGas ? 'gas-per-volume' : 'fuel-per-volume', perVolume)
  if (price === undefined) return
  const leaf = graph.leaf(FUEL_PRICE, '/economics/energyRate', price)
  quantities.set('cost-per-volume', graph.apply(fuelCostPerVolume, { fuelPerVolume: perVolume, price: leaf }))
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
    addPumpEfficiency(power, { density, flow }, quantities, visit)
    if (inputPower !== undefined) {
      const efficiency = graph.apply(overallPlantEfficiency, { waterPower: power, inputPower })
      quantities.set('overall-plant-efficiency', efficiency)
      // The same ratio in the units of the trade: horsepower-hours of water for a kilowatt-hour bought.
      if (fuelOf(quantities) === undefined) quantities.set('water-work-per-energy', efficiency)
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
  const price = visit.sheet.economics?.energyRate
  const fuel = fuelOf(quantities)
  if (fuel !== undefined) {
    addFuel(visit, quantities, fuel, price)
    return
  }
  if (flow === undefined || inputPower === undefined) return
  const energy = graph.apply(energyPerVolume, { inputPower, flow })
  quantities.set('energy-per-volume', energy)
  if (head !== undefined)
    quantities.set('energy-per-volume-and-head', graph.apply(energyPerVolumeAndHead, { energyPerVolume: energy, head }))
  if (price === undefined) return
  const rate = graph.leaf(ENERGY_RATE, '/economics/energyRate', price)
  quantities.set('cost-per-volume', graph.apply(costPerVolume, { energyPerVolume: energy, rate }))
}
