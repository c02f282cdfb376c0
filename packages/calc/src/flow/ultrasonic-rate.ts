/** Flow by the rate that a clamp-on transit-time meter shows. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { correctedRate } from '../formulas/corrected-rate.ts'
import { meanRate } from '../formulas/mean-rate.ts'
import { positiveReading, reading } from '../readings.ts'
import { toSi } from '../units.ts'
import { defineFlowMethod } from './flow-method.ts'
import { clampOnScale, flowOf, meanOf, meterMembers, PipeOfMeter, pipeOf, widenScale } from './meter.ts'

const schema = Type.Object(
  {
    method: Type.Literal('ultrasonic-rate', { description: 'Rate shown by a clamp-on meter.' }),
    pipe: PipeOfMeter,
    deviceDiameter: Type.Optional(positiveReading('length', 'Inside diameter set in the device.')),
    signalShare: Type.Optional(reading('ratio', 'Signal as a share of the full figure of the device.')),
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
  formulas: [meanRate, correctedRate] as unknown as readonly AnyFormula[],
  source: {
    document: 'common practice',
    place: 'a clamp-on meter is read several times; a wrong diameter in it is not corrected afterwards',
    basis: 'common practice',
  },
  cautions: ['alone'],
  measure(readings, place, around) {
    const { facts } = around
    const pipe = pipeOf(readings, place, around)
    if (readings.deviceDiameter) facts.deviceDiameter = toSi(readings.deviceDiameter, 'length')
    if (readings.signalShare) facts.signalShare = toSi(readings.signalShare, 'ratio')
    const shown = meanOf('flow', readings.rates, `${place}/rates`, readings, around)
    if (shown === undefined) return { flow: undefined, area: pipe?.area }
    widenScale(shown, 'flow', readings, clampOnScale(readings, readings.signalShare, around), around)
    return flowOf(shown, pipe, place, readings, around)
  },
})
