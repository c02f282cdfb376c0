/** Input power by the demand register of the utility meter: its mean over the last interval. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { driveInputPower } from '../formulas/drive-input-power.ts'
import { inputPower } from '../formulas/input-power.ts'
import { meteredPower } from '../formulas/metered-power.ts'
import { positiveReading, reading } from '../readings.ts'
import { stepAt } from '../repeats.ts'
import { leafKind, type Surroundings } from '../surroundings.ts'
import { atSupply, PowerPoint } from './drive.ts'
import { definePowerMethod, NO_POWER, type PowerMeasured } from './power-method.ts'
import { collectMeterFacts, meterMembers, widenClass, withoutOtherLoads } from './supply.ts'

const DEMAND = leafKind('Demand of the interval', 'power')
const MULTIPLIER = leafKind('Multiplier of the display', 'ratio')

const schema = Type.Object(
  {
    method: Type.Literal('meter-demand', { description: 'Demand that the meter holds for an interval.' }),
    point: PowerPoint,
    demand: reading('power', 'Demand of the interval, without the multiplier.'),
    interval: positiveReading('time', 'Length of the demand interval.'),
    steadyOverInterval: Type.Boolean({
      description: 'True if the pump ran as tested over the whole of the interval that was read.',
    }),
    ...meterMembers,
  },
  { title: 'MeterDemand', description: 'Input power by the demand register.', additionalProperties: false },
)
type MeterDemand = Static<typeof schema>

function measure(readings: MeterDemand, place: string, around: Surroundings): PowerMeasured {
  const { graph, facts } = around
  collectMeterFacts(readings, around)
  facts.steadyOverInterval = readings.steadyOverInterval
  if (readings.multiplier === undefined) return NO_POWER
  const at = `${place}/demand`
  const shown = graph.leaf(DEMAND, at, readings.demand)
  const { kind, u, coefficient } = stepAt(graph.values[shown]!, undefined, 'power', 'display-step', around)
  graph.act(graph.component({ kind, place: at, group: at, u, dof: Infinity }), shown, coefficient)
  const multiplier = graph.leaf(MULTIPLIER, `${place}/multiplier`, readings.multiplier)
  const displayed = graph.apply(meteredPower, { shown, multiplier })
  widenClass(displayed, 'meter-class-electronic', around)
  const metered = atSupply(displayed, readings.point, around)
  return { power: withoutOtherLoads(metered, readings, place, around), spread: undefined }
}

export const meterDemand = definePowerMethod({
  id: 'meter-demand',
  title: 'Demand register of the utility meter',
  schema,
  formulas: [meteredPower, driveInputPower, inputPower] as unknown as readonly AnyFormula[],
  source: {
    document: 'common practice',
    place: 'a demand register holds the mean of its interval',
    basis: 'common practice',
  },
  cautions: ['electrical-panel'],
  measure,
})
