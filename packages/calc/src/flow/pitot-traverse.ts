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
import { defineFlowMethod, type FlowMeasured, type FlowSurroundings } from './flow-method.ts'
import { measurePipe } from './pipe.ts'
import { manometerOf } from './pitot-tube.ts'
import { pointVelocity } from './traverse-point.ts'
import { collectTraverseFacts, widenTraverse } from './traverse-profile.ts'
import { PitotTraverse } from './traverse-readings.ts'

function measure(readings: PitotTraverse, place: string, around: FlowSurroundings): FlowMeasured {
  const { graph } = around
  around.facts.pitotTraverse = true
  around.facts.areaNeeded = true
  const pipe = measurePipe(readings.pipe, `${place}/pipe`, around)
  const manometer = readings.diameters.length === 0 ? undefined : manometerOf(readings, place, around)
  if (manometer === undefined) return { flow: undefined, area: pipe?.area }

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
  return { flow: graph.apply(flowInPipe, { velocity, area: pipe.flowArea }), area: pipe.area }
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
  cautions: ['lock-out', 'drilling-pressurised-pipe', 'pressure-and-hammer', 'chemigation', 'alone', 'noise-and-eyes'],
  measure,
})
