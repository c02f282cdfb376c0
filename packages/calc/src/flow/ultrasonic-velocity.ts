/** Flow by the velocity that a clamp-on meter shows, where the rate was not read. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { correctedRate } from '../formulas/corrected-rate.ts'
import { flowInPipe } from '../formulas/flow-in-pipe.ts'
import { pointMeanVelocity } from '../formulas/point-mean-velocity.ts'
import { zeroedVelocity } from '../formulas/zeroed-velocity.ts'
import { reading } from '../readings.ts'
import { clampOnMembers, clampOnScale, collectClampOn, lessZero } from './clamp-on.ts'
import { defineFlowMethod } from './flow-method.ts'
import { flowOfVelocity, meanOf, meterMembers, pipeOf, widenScale } from './meter.ts'
import { Pipe } from './pipe.ts'

const schema = Type.Object(
  {
    method: Type.Literal('ultrasonic-velocity', { description: 'Mean velocity shown by a clamp-on meter.' }),
    pipe: Pipe,
    ...clampOnMembers,
    zeroFlow: Type.Optional(
      reading(
        'velocity',
        'Velocity shown in the full pipe while the water stands still; taken off. Only if valves may be shut safely.',
      ),
    ),
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
  formulas: [pointMeanVelocity, zeroedVelocity, flowInPipe, correctedRate] as unknown as readonly AnyFormula[],
  source: { document: 'common practice', place: 'flow is mean velocity times area', basis: 'common practice' },
  cautions: ['lock-out', 'alone'],
  measure(readings, place, around) {
    around.facts.areaNeeded = true
    const pipe = pipeOf(readings, place, around)
    collectClampOn(readings, around)
    const shown = meanOf('velocity', readings.velocities, `${place}/velocities`, readings, around)
    if (shown === undefined) return { flow: undefined, area: pipe?.area }
    const moving = lessZero(shown, 'velocity', readings.zeroFlow, place, around)
    widenScale(moving, 'velocity', readings, clampOnScale(readings, around), around)
    return flowOfVelocity(moving, pipe, place, readings, around)
  },
})
