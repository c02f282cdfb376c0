/** One run of a sheet: from its readings to every quantity it allows, in the graph. */
import type { Facts } from './findings/facts.ts'
import { measureFlow } from './flow/list.ts'
import { widenDiameter } from './flow/pipe.ts'
import { costPerVolume } from './formulas/cost-per-volume.ts'
import { drawdown } from './formulas/drawdown.ts'
import { energyPerVolume } from './formulas/energy-per-volume.ts'
import { energyPerVolumeAndHead } from './formulas/energy-per-volume-and-head.ts'
import { fieldHead } from './formulas/field-head.ts'
import { gaugeHead } from './formulas/gauge-head.ts'
import { leastEnergyPerVolumeAndHead } from './formulas/least-energy-per-volume-and-head.ts'
import { lift } from './formulas/lift.ts'
import { overallPlantEfficiency } from './formulas/overall-plant-efficiency.ts'
import { pipeArea } from './formulas/pipe-area.ts'
import { pipeVelocity } from './formulas/pipe-velocity.ts'
import { pressureHead } from './formulas/pressure-head.ts'
import { specificCapacity } from './formulas/specific-capacity.ts'
import { totalDynamicHead } from './formulas/total-dynamic-head.ts'
import { velocityHead } from './formulas/velocity-head.ts'
import { waterDensity } from './formulas/water-density.ts'
import { waterPower } from './formulas/water-power.ts'
import type { LeafKind, Node } from './graph.ts'
import { measureLevel } from './level/list.ts'
import { measurePower } from './power/list.ts'
import { measurePressure } from './pressure.ts'
import type { Run } from './sheet.ts'
import { defaultKind, leafKind, widen } from './surroundings.ts'
import type { Quantities, Visit } from './visit.ts'

const TEMPERATURE = leafKind('Water temperature', 'temperature')
const DISCHARGE_CENTRE = leafKind('Discharge centre above the level datum', 'length')
const TAP_DIAMETER = leafKind('Inside diameter at the discharge tap', 'length')
const JOULES_PER_KWH = 3.6e6
/** The price stands for a kWh of any currency; the calculation holds it for a joule. */
const ENERGY_RATE: LeafKind = {
  title: 'Price of energy',
  unit: 'currency/J',
  toSi: (rate) => rate.value / JOULES_PER_KWH,
  unitSize: () => 1 / JOULES_PER_KWH,
}

function measureDensity(run: Run, place: string, visit: Visit): Node {
  const { graph, edition } = visit
  if (run.waterTemperature !== undefined) {
    const at = `${place}/waterTemperature`
    const temperature = graph.leaf(TEMPERATURE, at, run.waterTemperature)
    widen(visit, 'water-temperature', 'certify', at, at, temperature, 1)
    return graph.apply(waterDensity, { temperature })
  }
  const value = edition.settings.densityDefaultTemperatureC
  const at = 'edition/water-temperature-not-read'
  const temperature = graph.leaf(TEMPERATURE, at, { value, unit: 'degC' })
  const component = visit.instruments.shared('edition', at, () => ({
    kind: defaultKind(edition, 'water-temperature-not-read', 'measure'),
    place: at,
    group: at,
    u: edition.defaults['water-temperature-not-read'].u,
    dof: Infinity,
  }))
  graph.act(component, temperature, 1)
  return graph.apply(waterDensity, { temperature })
}

function measureLift(run: Run, place: string, visit: Visit, quantities: Quantities): void {
  const { graph, sheet, edition, instruments } = visit
  if (run.pumpingLevel === undefined) return
  const pumpingLevel = measureLevel(run.pumpingLevel, {
    graph,
    edition,
    instruments,
    place: `${place}/pumpingLevel`,
    instrument: sheet.instruments?.level,
  })
  quantities.set('pumping-water-level', pumpingLevel)
  const above = sheet.dischargeCentreAboveDatum
  if (above === undefined) quantities.set('lift', pumpingLevel)
  else {
    const at = '/dischargeCentreAboveDatum'
    const dischargeCentre = graph.leaf(DISCHARGE_CENTRE, at, above)
    widen(visit, 'gauge-height', 'measure', at, at, dischargeCentre, 1)
    quantities.set('lift', graph.apply(lift, { pumpingLevel, dischargeCentre }))
  }
  if (visit.standingLevel !== undefined)
    quantities.set('drawdown', graph.apply(drawdown, { pumpingLevel, standingLevel: visit.standingLevel }))
}

/** Velocity head at the discharge tap: its own diameter where it differs from the measuring section. */
function measureVelocityHead(
  run: Run,
  place: string,
  flow: Node,
  area: Node,
  visit: Visit,
  facts: Facts,
  density: Node,
): { velocity: Node; head: Node } {
  const { graph } = visit
  let tapArea = area
  const own = run.dischargePressure?.insideDiameterAtTap
  if (own !== undefined) {
    const at = `${place}/dischargePressure/insideDiameterAtTap`
    const diameter = graph.leaf(TAP_DIAMETER, at, own)
    widenDiameter(diameter, false, at, { ...visit, facts, density, pressure: undefined })
    tapArea = graph.apply(pipeArea, { diameter })
  }
  const velocity = graph.apply(pipeVelocity, { flow, area: tapArea })
  return { velocity, head: graph.apply(velocityHead, { velocity }) }
}

function addPowers(visit: Visit, quantities: Quantities, density: Node): void {
  const { graph, edition } = visit
  const flow = quantities.get('flow')
  const inputPower = quantities.get('input-power')
  const total = quantities.get('total-dynamic-head')
  const field = quantities.get('field-head')
  const head = edition.settings.velocityHead === 'include' ? total : field
  if (flow !== undefined && head !== undefined) {
    const power = graph.apply(waterPower, { density, flow, head })
    quantities.set('water-power', power)
    if (inputPower !== undefined) {
      const efficiency = graph.apply(overallPlantEfficiency, { waterPower: power, inputPower })
      quantities.set('overall-plant-efficiency', efficiency)
      // The same ratio in the units of the trade: horsepower-hours of water for a kilowatt-hour bought.
      quantities.set('water-work-per-energy', efficiency)
      if (field !== undefined) {
        const withoutVelocityHead = graph.apply(waterPower, { density, flow, head: field })
        quantities.set(
          'overall-plant-efficiency-on-field-head',
          graph.apply(overallPlantEfficiency, { waterPower: withoutVelocityHead, inputPower }),
        )
      }
    }
  }
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

/** Brings one run into the graph; collects facts on the way. */
export function measureRun(run: Run, index: number, visit: Visit, facts: Facts): Quantities {
  const { graph, sheet, edition, instruments } = visit
  const place = `/runs/${index}`
  const quantities: Quantities = new Map()

  const density = measureDensity(run, place, visit)
  quantities.set('water-density', density)
  if (visit.standingLevel !== undefined) quantities.set('standing-water-level', visit.standingLevel)
  measureLift(run, place, visit, quantities)

  const pressure = measurePressure(run, place, visit, facts)
  const around = { graph, edition, instruments, facts, density, pressure: pressure?.pressure }
  if (pressure !== undefined) {
    const column = graph.apply(pressureHead, { pressure: pressure.pressure, density })
    quantities.set(
      'gauge-head',
      pressure.gaugeHeight === undefined
        ? column
        : graph.apply(gaugeHead, { pressureHead: column, gaugeHeight: pressure.gaugeHeight }),
    )
  }

  const measured =
    run.flow === undefined
      ? undefined
      : measureFlow(run.flow, `${place}/flow`, { ...around, instrument: sheet.instruments?.flow })
  if (run.power !== undefined) {
    const power = measurePower(run.power, `${place}/power`, around)
    if (power.power !== undefined) quantities.set('input-power', power.power)
    if (power.spread !== undefined) quantities.set('timing-spread', power.spread)
  }

  const raised = quantities.get('lift')
  const gauge = quantities.get('gauge-head')
  const field =
    raised !== undefined && gauge !== undefined ? graph.apply(fieldHead, { lift: raised, gaugeHead: gauge }) : undefined
  if (field !== undefined) quantities.set('field-head', field)
  if (measured?.flow !== undefined) {
    quantities.set('flow', measured.flow)
    if (measured.area !== undefined) {
      const { velocity, head } = measureVelocityHead(run, place, measured.flow, measured.area, visit, facts, density)
      quantities.set('pipe-velocity', velocity)
      quantities.set('velocity-head', head)
      if (field !== undefined)
        quantities.set('total-dynamic-head', graph.apply(totalDynamicHead, { fieldHead: field, velocityHead: head }))
    }
    const fall = quantities.get('drawdown')
    if (fall !== undefined && graph.values[fall]! !== 0)
      quantities.set('specific-capacity', graph.apply(specificCapacity, { flow: measured.flow, drawdown: fall }))
  }
  addPowers(visit, quantities, density)
  return quantities
}
