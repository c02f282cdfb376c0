/** Water level by a pressure transducer that hangs below the water. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { levelFromPressure } from '../formulas/level-from-pressure.ts'
import { levelSlope } from '../formulas/level-slope.ts'
import { meanPressure } from '../formulas/mean-pressure.ts'
import { soundedLevel } from '../formulas/sounded-level.ts'
import { ventedPressure } from '../formulas/vented-pressure.ts'
import { positiveReading } from '../readings.ts'
import { leafKind, widen } from '../surroundings.ts'
import { belowDatum, levelMembers } from './common.ts'
import { defineLevelMethod, type LevelMeasured, type LevelSurroundings } from './level-method.ts'
import { measureColumn, pressureMembers } from './pressure-of-water.ts'

const DEPTH = leafKind('Depth at which the sensor hangs', 'length')
const PRESSURE = leafKind('Pressure at the sensor', 'pressure')

const schema = Type.Object(
  {
    method: Type.Literal('transducer', { description: 'Pressure transducer in the water.' }),
    sensorDepth: positiveReading('length', 'From the measuring point down to the sensor.'),
    ...pressureMembers('Pressure of the water over the sensor, the air taken off.', 'What the sensor shows in air.'),
    ...levelMembers,
  },
  { title: 'TransducerReadings', description: 'Water level by a pressure transducer.', additionalProperties: false },
)
export type Transducer = Static<typeof schema>

function measure(readings: Transducer, around: LevelSurroundings): LevelMeasured {
  const { graph, place } = around
  const at = `${place}/sensorDepth`
  const length = graph.leaf(DEPTH, at, readings.sensorDepth)
  widen(around, 'sensor-depth', 'measure', at, at, length, 1)
  const code = readings.pressures[0]!.instrument ?? around.instrument
  const { depth, trend } = measureColumn(readings, length, PRESSURE, code, 'edition/transducer-accuracy', around)
  return { level: belowDatum(depth, readings, around), trend }
}

export const transducer = defineLevelMethod({
  id: 'transducer',
  title: 'Pressure transducer',
  schema,
  formulas: [
    meanPressure,
    ventedPressure,
    levelFromPressure,
    soundedLevel,
    levelSlope,
  ] as unknown as readonly AnyFormula[],
  source: { document: 'common practice', place: 'a vented sensor below the water', basis: 'common practice' },
  cautions: ['well-and-contamination', 'well-head', 'alone'],
  measure,
})
