/** Flow by a pitot tube moved across the pipe. */
import type { AnyFormula } from '../formula.ts'
import { diameterFromOutside } from '../formulas/diameter-from-outside.ts'
import { flowInPipe } from '../formulas/flow-in-pipe.ts'
import { manometerAirDensity } from '../formulas/manometer-air-density.ts'
import { manometerFactorAir } from '../formulas/manometer-factor-air.ts'
import { manometerFactorFluid } from '../formulas/manometer-factor-fluid.ts'
import { meanDiameter } from '../formulas/mean-diameter.ts'
import { pipeArea } from '../formulas/pipe-area.ts'
import { pitotVelocity } from '../formulas/pitot-velocity.ts'
import { pointMeanVelocity } from '../formulas/point-mean-velocity.ts'
import { traverseMeanVelocity } from '../formulas/traverse-mean-velocity.ts'
import type { Node } from '../graph.ts'
import { defaultKind, instrumentOf, leafKind, stepOf, widen } from '../surroundings.ts'
import { defineFlowMethod, type FlowMeasured, type FlowSurroundings } from './flow-method.ts'
import { measurePipe } from './pipe.ts'
import { type Manometer as ManometerAround, pointVelocity } from './traverse-point.ts'
import { collectTraverseFacts, widenTraverse } from './traverse-profile.ts'
import { PitotTraverse } from './traverse-readings.ts'

const TUBE = 'pitot-tube-and-manometer'
const COEFFICIENT = leafKind('Coefficient of the pitot tube', 'ratio')
const RELATIVE_DENSITY = leafKind('Relative density of the manometer liquid', 'ratio')
const OPEN_MANOMETER = leafKind('Pressure in the manometer, not read: atmosphere', 'pressure')

/** What share of a column balances the velocity head. */
function manometerFactor(readings: PitotTraverse, place: string, around: FlowSurroundings): Node | undefined {
  const { graph } = around
  if (readings.manometer.fluid === 'air-over-water') {
    const pressure =
      around.pressure ?? graph.leaf(OPEN_MANOMETER, 'edition/manometer-pressure', { value: 0, unit: 'Pa' })
    const airDensity = graph.apply(manometerAirDensity, { pressure })
    return graph.apply(manometerFactorAir, { airDensity, density: around.density })
  }
  const given = readings.manometer.relativeDensity
  if (given === undefined) return undefined
  const at = `${place}/manometer/relativeDensity`
  const relativeDensity = graph.leaf(RELATIVE_DENSITY, at, given)
  widen(around, 'manometer-fluid-density', 'measure', at, at, relativeDensity, graph.values[relativeDensity]!)
  return graph.apply(manometerFactorFluid, { relativeDensity })
}

function tubeCoefficient(readings: PitotTraverse, place: string, around: FlowSurroundings): Node {
  const { graph, instruments, edition } = around
  const coefficient = graph.leaf(COEFFICIENT, `${place}/tube/coefficient`, readings.tube.coefficient)
  const code = readings.tube.instrument ?? instrumentOf(readings.tube.coefficient, around.instrument)
  const certified = instruments.certified(instruments.find(code, TUBE))
  const name = certified ? 'pitot-coefficient-certified' : 'pitot-coefficient'
  const origin = code === undefined ? 'edition/pitot-coefficient' : `instrument/${code}`
  const component = instruments.shared(origin, 'pitot-coefficient', () => ({
    kind: defaultKind(edition, name, name === 'pitot-coefficient' ? 'certify' : 'better-instrument'),
    place: origin,
    group: origin,
    u: edition.defaults[name].u,
    dof: Infinity,
  }))
  graph.act(component, coefficient, graph.values[coefficient]!)
  return coefficient
}

function measure(readings: PitotTraverse, place: string, around: FlowSurroundings): FlowMeasured {
  const { graph } = around
  around.facts.pitotTraverse = true
  around.facts.areaNeeded = true
  const pipe = measurePipe(readings.pipe, `${place}/pipe`, around)
  const factor = manometerFactor(readings, place, around)
  if (factor === undefined || readings.diameters.length === 0) return { flow: undefined, area: pipe?.area }

  const manometer: ManometerAround = {
    coefficient: tubeCoefficient(readings, place, around),
    factor,
    step: readings.manometer.resolution ?? stepOf(around.instruments.find(around.instrument, TUBE), 'length'),
  }
  const group = `${place}/diameters`
  const velocities: Node[] = []
  const byDiameter = readings.diameters.map((diameter, d) => {
    const points = `${group}/${d}/points`
    return diameter.points.map((point, p) => {
      const velocity = pointVelocity(point, `${points}/${p}`, group, manometer, around)
      velocities.push(velocity)
      return graph.values[velocity]!
    })
  })
  const velocity = graph.apply(traverseMeanVelocity, { velocities })
  collectTraverseFacts(readings, byDiameter, graph.values[velocity]!, manometer, around)
  widenTraverse(readings, velocity, byDiameter, place, group, around)
  graph.junction(velocity)
  if (pipe === undefined) return { flow: undefined, area: undefined }
  return { flow: graph.apply(flowInPipe, { velocity, area: pipe.area }), area: pipe.area }
}

export const pitotTraverse = defineFlowMethod({
  id: 'pitot-traverse',
  title: 'Pitot traverse',
  schema: PitotTraverse,
  formulas: [
    meanDiameter,
    diameterFromOutside,
    pipeArea,
    manometerAirDensity,
    manometerFactorAir,
    manometerFactorFluid,
    pitotVelocity,
    pointMeanVelocity,
    traverseMeanVelocity,
    flowInPipe,
  ] as unknown as readonly AnyFormula[],
  source: {
    document: 'ISO 3966:2008',
    place: 'velocity-area method with pitot tubes (item from memory)',
    basis: 'from memory',
  },
  cautions: ['drilling-pressurised-pipe', 'pressure-and-hammer', 'chemigation', 'alone'],
  measure,
})
