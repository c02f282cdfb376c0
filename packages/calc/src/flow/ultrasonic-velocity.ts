/** Flow by the velocity that a clamp-on meter shows, where the rate was not read. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { correctedRate } from '../formulas/corrected-rate.ts'
import { flowInPipe } from '../formulas/flow-in-pipe.ts'
import { pointMeanVelocity } from '../formulas/point-mean-velocity.ts'
import { reading } from '../readings.ts'
import { toSi } from '../units.ts'
import { defineFlowMethod } from './flow-method.ts'
import { clampOnScale, flowOfVelocity, meanOf, meterMembers, pipeOf, widenScale } from './meter.ts'
import { Pipe } from './pipe.ts'

const schema = Type.Object(
  {
    method: Type.Literal('ultrasonic-velocity', { description: 'Mean velocity shown by a clamp-on meter.' }),
    pipe: Pipe,
    signalShare: Type.Optional(reading('ratio', 'Signal as a share of the full figure of the device.')),
    velocities: Type.Array(reading('velocity', 'Mean velocity shown; negative if reversed.'), {
      maxItems: 30,
      description: 'Velocities read one after the other.',
    }),
    ...meterMembers,
  },
  {
    title: 'UltrasonicVelocity',
    description: 'Flow by the velocity of a clamp-on meter.',
    additionalProperties: false,
  },
)

export const ultrasonicVelocity = defineFlowMethod({
  id: 'ultrasonic-velocity',
  title: 'Velocity shown by a clamp-on meter',
  schema,
  formulas: [pointMeanVelocity, flowInPipe, correctedRate] as unknown as readonly AnyFormula[],
  source: { document: 'common practice', place: 'flow is mean velocity times area', basis: 'common practice' },
  cautions: ['alone'],
  measure(readings, place, around) {
    const { facts } = around
    facts.areaNeeded = true
    const pipe = pipeOf(readings, place, around)
    if (readings.signalShare) facts.signalShare = toSi(readings.signalShare, 'ratio')
    const shown = meanOf('velocity', readings.velocities, `${place}/velocities`, readings, around)
    if (shown === undefined) return { flow: undefined, area: pipe?.area }
    widenScale(shown, 'velocity', readings, clampOnScale(readings, readings.signalShare, around), around)
    return flowOfVelocity(shown, pipe, place, readings, around)
  },
})
