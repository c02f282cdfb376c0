/** A pitot tube with its manometer: what share of a column balances the velocity head, and the tube’s own error. */
import { manometerAirDensity } from '../formulas/manometer-air-density.ts'
import { manometerFactorAir } from '../formulas/manometer-factor-air.ts'
import { manometerFactorFluid } from '../formulas/manometer-factor-fluid.ts'
import type { Node } from '../graph.ts'
import { defaultKind, instrumentOf, leafKind, stepOf, widen } from '../surroundings.ts'
import type { FlowSurroundings } from './flow-method.ts'
import type { Manometer as ManometerAround } from './traverse-point.ts'
import type { PitotTraverse } from './traverse-readings.ts'

/** The tube and the manometer, as every method reads them. */
export type TubeReadings = Pick<PitotTraverse, 'tube' | 'manometer'>

const TUBE = 'pitot-tube-and-manometer'
const COEFFICIENT = leafKind('Coefficient of the pitot tube', 'ratio')
const RELATIVE_DENSITY = leafKind('Relative density of the manometer liquid', 'ratio')
const OPEN_MANOMETER = leafKind('Pressure in the manometer, not read: atmosphere', 'pressure')

/** What share of a column balances the velocity head. */
function manometerFactor(readings: TubeReadings, place: string, around: FlowSurroundings): Node | undefined {
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

function tubeCoefficient(readings: TubeReadings, place: string, around: FlowSurroundings): Node {
  const { graph, instruments, edition } = around
  const coefficient = graph.leaf(COEFFICIENT, `${place}/tube/coefficient`, readings.tube.coefficient)
  const code = readings.tube.instrument ?? instrumentOf(readings.tube.coefficient, around.instrument)
  const certified = instruments.certified(instruments.find(code, TUBE))
  const name = certified ? 'pitot-coefficient-certified' : 'pitot-coefficient'
  const origin = code === undefined ? 'edition/pitot-coefficient' : `instrument/${code}`
  const component = instruments.shared(
    code === undefined ? `${around.unnamed}/tube` : origin,
    'pitot-coefficient',
    () => ({
      kind: defaultKind(edition, name, name === 'pitot-coefficient' ? 'certify' : 'better-instrument'),
      place: origin,
      group: origin,
      u: edition.defaults[name].u,
      dof: Infinity,
    }),
  )
  graph.act(component, coefficient, graph.values[coefficient]!)
  return coefficient
}

/** The manometer in the graph; undefined where its liquid is not known. */
export function manometerOf(
  readings: TubeReadings,
  place: string,
  around: FlowSurroundings,
): ManometerAround | undefined {
  const factor = manometerFactor(readings, place, around)
  if (factor === undefined) return undefined
  return {
    coefficient: tubeCoefficient(readings, place, around),
    factor,
    step: readings.manometer.resolution ?? stepOf(around.instruments.find(around.instrument, TUBE), 'length'),
  }
}
