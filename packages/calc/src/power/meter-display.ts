/** Input power as the utility meter or a power meter displays it. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { driveInputPower } from '../formulas/drive-input-power.ts'
import { inputPower } from '../formulas/input-power.ts'
import { meanPower } from '../formulas/mean-power.ts'
import { meteredPower } from '../formulas/metered-power.ts'
import { timingSpread } from '../formulas/timing-spread.ts'
import { reading } from '../readings.ts'
import { measureRepeats, type Repeated, scatterKind, stepAt } from '../repeats.ts'
import { leafKind, type Surroundings } from '../surroundings.ts'
import { atSupply, PowerPoint } from './drive.ts'
import { definePowerMethod, NO_POWER, type PowerMeasured } from './power-method.ts'
import { collectMeterFacts, meterMembers, widenClass, withoutOtherLoads } from './supply.ts'

const MULTIPLIER = leafKind('Multiplier of the display', 'ratio')
const READINGS: Repeated = {
  leaf: leafKind('Power displayed', 'power'),
  scatter: scatterKind('display-scatter', 'Scatter of the displayed powers', 'power'),
  mean: (graph, powers) => graph.apply(meanPower, { powers }),
}

const schema = Type.Object(
  {
    method: Type.Literal('meter-display', { description: 'Power displayed by the meter.' }),
    point: PowerPoint,
    readings: Type.Array(reading('power', 'Power displayed, without the multiplier.'), {
      maxItems: 30,
      description: 'Powers read one after the other.',
    }),
    ...meterMembers,
  },
  { title: 'MeterDisplay', description: 'Input power as the meter displays it.', additionalProperties: false },
)
type MeterDisplay = Static<typeof schema>

function measure(readings: MeterDisplay, place: string, around: Surroundings): PowerMeasured {
  const { graph } = around
  collectMeterFacts(readings, around)
  if (readings.multiplier === undefined || readings.readings.length === 0) return NO_POWER
  const { nodes: powers, mean: shown } = measureRepeats(
    readings.readings,
    `${place}/readings`,
    READINGS,
    (value) => stepAt(value, undefined, 'power', 'display-step', around),
    graph,
  )
  const multiplier = graph.leaf(MULTIPLIER, `${place}/multiplier`, readings.multiplier)
  const displayed = graph.apply(meteredPower, { shown, multiplier })
  widenClass(displayed, 'meter-class-electronic', around)
  const metered = atSupply(displayed, readings.point, around)
  return {
    power: withoutOtherLoads(metered, readings, place, around),
    spread: powers.length < 2 ? undefined : graph.apply(timingSpread, { powers }),
  }
}

export const meterDisplay = definePowerMethod({
  id: 'meter-display',
  title: 'Power displayed by the meter',
  schema,
  formulas: [meanPower, meteredPower, timingSpread, driveInputPower, inputPower] as unknown as readonly AnyFormula[],
  source: { document: 'common practice', place: 'a display is read several times', basis: 'common practice' },
  cautions: ['electrical-panel'],
  measure,
})
