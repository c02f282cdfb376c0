/** Flow by one pitot velocity in the middle of the pipe, times the pipe factor, times the area. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { flowInPipe } from '../formulas/flow-in-pipe.ts'
import { manometerAirDensity } from '../formulas/manometer-air-density.ts'
import { manometerFactorAir } from '../formulas/manometer-factor-air.ts'
import { manometerFactorFluid } from '../formulas/manometer-factor-fluid.ts'
import { pipeArea } from '../formulas/pipe-area.ts'
import { pitotVelocity } from '../formulas/pitot-velocity.ts'
import { pointMeanVelocity } from '../formulas/point-mean-velocity.ts'
import { profileVelocity } from '../formulas/profile-velocity.ts'
import type { Node } from '../graph.ts'
import { positiveReading, type Reading, SwingingReading } from '../readings.ts'
import { leafKind, widen } from '../surroundings.ts'
import { toSi } from '../units.ts'
import { defineFlowMethod, type FlowSurroundings } from './flow-method.ts'
import { measurePipe, Pipe } from './pipe.ts'
import { manometerOf } from './pitot-tube.ts'
import { widenShortRun } from './straight-run.ts'
import { columnOf, pointVelocity } from './traverse-point.ts'
import { PitotTraverse } from './traverse-readings.ts'

const PIPE_FACTOR = leafKind('Pipe factor: mean velocity over centre velocity', 'ratio')

const schema = Type.Object(
  {
    method: Type.Literal('centre-line-velocity', { description: 'One velocity in the middle of the pipe.' }),
    pipe: Pipe,
    tube: PitotTraverse.properties.tube,
    manometer: PitotTraverse.properties.manometer,
    centre: SwingingReading('length', 'Difference of the columns in the middle of the pipe; negative if reversed.'),
    pipeFactor: Type.Optional(
      positiveReading(
        'ratio',
        'Mean velocity over centre velocity, from an earlier traverse at this very place; the edition’s if absent.',
      ),
    ),
  },
  {
    title: 'CentreLineVelocity',
    description: 'Flow by one pitot velocity in the middle of the pipe.',
    additionalProperties: false,
  },
)

/** The pipe factor as given, or the edition’s, with what is not known of it. */
function factorNode(given: Reading | undefined, place: string, around: FlowSurroundings): Node {
  const { graph, edition } = around
  const at = given === undefined ? 'edition/pipe-factor-not-given' : `${place}/pipeFactor`
  const factor = graph.leaf(PIPE_FACTOR, at, given ?? { value: edition.settings.pipeFactorNotGiven, unit: '1' })
  const value = graph.values[factor]!
  widen(around, given === undefined ? 'pipe-factor-not-given' : 'pipe-factor', 'measure', at, place, factor, value)
  return factor
}

export const centreLineVelocity = defineFlowMethod({
  id: 'centre-line-velocity',
  title: 'Velocity in the middle of the pipe',
  schema,
  formulas: [
    manometerAirDensity,
    manometerFactorAir,
    manometerFactorFluid,
    pitotVelocity,
    pointMeanVelocity,
    profileVelocity,
    pipeArea,
    flowInPipe,
  ] as unknown as readonly AnyFormula[],
  source: {
    document: 'common practice',
    place: 'centre velocity times a factor from an earlier traverse, about 0.82 in a long straight pipe',
    basis: 'common practice',
  },
  cautions: ['lock-out', 'drilling-pressurised-pipe', 'pressure-and-hammer', 'chemigation', 'alone', 'noise-and-eyes'],
  measure(readings, place, around) {
    const { graph, facts } = around
    facts.pitotTraverse = true
    facts.areaNeeded = true
    const pipe = measurePipe(readings.pipe, `${place}/pipe`, around)
    const manometer = manometerOf(readings, place, around)
    if (manometer === undefined) return { flow: undefined, area: pipe?.area }
    const { zeroBefore, zeroAfter } = readings.manometer
    if (zeroBefore && zeroAfter) facts.manometerZeroDrift = toSi(zeroAfter, 'length') - toSi(zeroBefore, 'length')
    facts.medianColumn = columnOf(readings.centre)
    const centre = pointVelocity(readings.centre, `${place}/centre`, place, manometer, around)
    const factor = factorNode(readings.pipeFactor, place, around)
    facts.singlePointFactor = graph.values[factor]!
    const velocity = graph.apply(profileVelocity, { velocity: centre, factor })
    widen(
      around,
      'traverse-fluctuation',
      'repeat',
      'edition/traverse-fluctuation',
      place,
      velocity,
      graph.values[velocity]!,
    )
    widenShortRun(velocity, place, around)
    facts.meanVelocity = graph.values[velocity]!
    if (pipe === undefined) return { flow: undefined, area: undefined }
    return { flow: graph.apply(flowInPipe, { velocity, area: pipe.flowArea }), area: pipe.area }
  },
})
