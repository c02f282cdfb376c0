/** Flow by an insertion meter that shows the velocity at its sensor: velocity × profile factor × area. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { correctedRate } from '../formulas/corrected-rate.ts'
import { flowInPipe } from '../formulas/flow-in-pipe.ts'
import { pointMeanVelocity } from '../formulas/point-mean-velocity.ts'
import { profileVelocity } from '../formulas/profile-velocity.ts'
import { positiveReading, reading } from '../readings.ts'
import { leafKind, widen } from '../surroundings.ts'
import { defineFlowMethod } from './flow-method.ts'
import { flowOfVelocity, meanOf, meterMembers, meterScale, pipeOf, widenScale } from './meter.ts'
import { Pipe } from './pipe.ts'

const PROFILE_FACTOR = leafKind('Profile factor', 'ratio')

const schema = Type.Object(
  {
    method: Type.Literal('insertion-velocity', { description: 'Velocity shown by an insertion meter.' }),
    pipe: Pipe,
    profileFactor: Type.Optional(
      positiveReading('ratio', 'Mean velocity over the velocity at the sensor, for this place and depth.'),
    ),
    velocities: Type.Array(reading('velocity', 'Velocity shown; negative if reversed.'), {
      maxItems: 30,
      description: 'Velocities read one after the other.',
    }),
    ...meterMembers,
  },
  {
    title: 'InsertionVelocity',
    description: 'Flow by the velocity of an insertion meter.',
    additionalProperties: false,
  },
)

export const insertionVelocity = defineFlowMethod({
  id: 'insertion-velocity',
  title: 'Velocity shown by an insertion meter',
  schema,
  formulas: [pointMeanVelocity, profileVelocity, flowInPipe, correctedRate] as unknown as readonly AnyFormula[],
  source: {
    document: 'common practice',
    place: 'velocity at the sensor times profile factor times area',
    basis: 'common practice',
  },
  cautions: ['lock-out', 'drilling-pressurised-pipe', 'pressure-and-hammer', 'chemigation', 'alone', 'noise-and-eyes'],
  measure(readings, place, around) {
    const { graph, facts } = around
    facts.areaNeeded = true
    facts.insertionMeter = true
    facts.profileFactorGiven = readings.profileFactor !== undefined
    const pipe = pipeOf(readings, place, around)
    const shown = meanOf('velocity', readings.velocities, `${place}/velocities`, readings, around)
    if (shown === undefined || readings.profileFactor === undefined) return { flow: undefined, area: pipe?.area }
    widenScale(shown, 'velocity', readings, meterScale(readings, around), around)
    const at = `${place}/profileFactor`
    const factor = graph.leaf(PROFILE_FACTOR, at, readings.profileFactor)
    facts.singlePointFactor = graph.values[factor]!
    widen(around, 'profile-factor', 'measure', at, at, factor, graph.values[factor]!)
    return flowOfVelocity(graph.apply(profileVelocity, { velocity: shown, factor }), pipe, place, readings, around)
  },
})
