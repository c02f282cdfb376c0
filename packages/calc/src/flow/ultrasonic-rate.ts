/** Flow by the rate that a clamp-on transit-time meter shows. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { correctedRate } from '../formulas/corrected-rate.ts'
import { meanRate } from '../formulas/mean-rate.ts'
import { zeroedRate } from '../formulas/zeroed-rate.ts'
import { reading } from '../readings.ts'
import { clampOnMembers, clampOnScale, collectClampOn, lessZero } from './clamp-on.ts'
import { defineFlowMethod } from './flow-method.ts'
import { flowOf, meanOf, meterMembers, PipeOfMeter, pipeOf, widenScale } from './meter.ts'

const schema = Type.Object(
  {
    method: Type.Literal('ultrasonic-rate', { description: 'Rate shown by a clamp-on meter.' }),
    pipe: PipeOfMeter,
    ...clampOnMembers,
    zeroFlow: Type.Optional(
      reading(
        'flow',
        'Rate shown in the full pipe while the water stands still; taken off. Only if valves may be shut safely.',
      ),
    ),
    rates: Type.Array(reading('flow', 'Rate shown; negative if reversed.'), {
      maxItems: 30,
      description: 'Rates read one after the other.',
    }),
    ...meterMembers,
  },
  { title: 'UltrasonicRate', description: 'Flow by the rate of a clamp-on meter.', additionalProperties: false },
)

export const ultrasonicRate = defineFlowMethod({
  id: 'ultrasonic-rate',
  title: 'Rate shown by a clamp-on meter',
  schema,
  formulas: [meanRate, zeroedRate, correctedRate] as unknown as readonly AnyFormula[],
  source: {
    document: 'common practice',
    place: 'a clamp-on meter is read several times; a wrong diameter in it is not corrected afterwards',
    basis: 'common practice',
  },
  cautions: ['lock-out', 'alone'],
  measure(readings, place, around) {
    const pipe = pipeOf(readings, place, around)
    collectClampOn(readings, around)
    const shown = meanOf('flow', readings.rates, `${place}/rates`, readings, around)
    if (shown === undefined) return { flow: undefined, area: pipe?.area }
    const moving = lessZero(shown, 'flow', readings.zeroFlow, place, around)
    widenScale(moving, 'flow', readings, clampOnScale(readings, around), around)
    return flowOf(moving, pipe, place, readings, around)
  },
})
