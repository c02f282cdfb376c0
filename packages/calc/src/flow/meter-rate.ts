/** Flow by the rate that a meter in the pipe shows: propeller, insertion, magnetic. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { correctedRate } from '../formulas/corrected-rate.ts'
import { meanRate } from '../formulas/mean-rate.ts'
import { reading } from '../readings.ts'
import { defineFlowMethod } from './flow-method.ts'
import { flowOf, meanOf, meterMembers, meterScale, PipeOfMeter, pipeOf, widenScale } from './meter.ts'

const schema = Type.Object(
  {
    method: Type.Literal('meter-rate', { description: 'Rate shown by a meter in the pipe.' }),
    pipe: PipeOfMeter,
    rates: Type.Array(reading('flow', 'Rate shown; negative if reversed.'), {
      maxItems: 30,
      description: 'Rates read one after the other.',
    }),
    ...meterMembers,
  },
  { title: 'MeterRate', description: 'Flow by the rate that a meter shows.', additionalProperties: false },
)

export const meterRate = defineFlowMethod({
  id: 'meter-rate',
  title: 'Rate shown by a flow meter',
  schema,
  formulas: [meanRate, correctedRate] as unknown as readonly AnyFormula[],
  source: { document: 'common practice', place: 'the rate of a meter is read several times', basis: 'common practice' },
  cautions: ['chemigation'],
  measure(readings, place, around) {
    const pipe = pipeOf(readings, place, around)
    const shown = meanOf('flow', readings.rates, `${place}/rates`, readings, around)
    if (shown === undefined) return { flow: undefined, area: pipe?.area }
    widenScale(shown, 'flow', readings, meterScale(readings, around), around)
    return flowOf(shown, pipe, place, readings, around)
  },
})
