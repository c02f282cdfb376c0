/** Water level by an air line: a tube to below the water, blown free of it, whose pressure carries the water above its end. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { airLineEndPressure } from '../formulas/air-line-end-pressure.ts'
import { levelFromPressure } from '../formulas/level-from-pressure.ts'
import { levelSlope } from '../formulas/level-slope.ts'
import { manometerAirDensity } from '../formulas/manometer-air-density.ts'
import { meanPressure } from '../formulas/mean-pressure.ts'
import { soundedLevel } from '../formulas/sounded-level.ts'
import { ventedPressure } from '../formulas/vented-pressure.ts'
import type { Node } from '../graph.ts'
import { positiveReading } from '../readings.ts'
import { defaultKind, leafKind } from '../surroundings.ts'
import { belowDatum, levelMembers } from './common.ts'
import { defineLevelMethod, type LevelMeasured, type LevelSurroundings } from './level-method.ts'
import { measureColumn, pressureMembers } from './pressure-of-water.ts'

const LENGTH = leafKind('Length of the air line', 'length')
const PRESSURE = leafKind('Pressure of the air line', 'pressure')
const STAND_IN = 'edition/gauge-accuracy/air-line'

const schema = Type.Object(
  {
    method: Type.Literal('air-line', { description: 'Air line.' }),
    airLineLength: positiveReading(
      'length',
      'From the gauge centre, or the measuring point, down to the end of the line.',
    ),
    airLineLengthBasis: Type.Enum(['checked-with-sounder', 'as-installed', 'not-known'], {
      description:
        'Where the length comes from: worked out from a sounded level and the pressure at it, so that it holds the weight of the air in the line; from the installer’s record; or hearsay. Else that weight is added.',
    }),
    ...pressureMembers(
      'Gauge pressure when the needle stood still after the line was blown free.',
      'What the gauge shows when vented.',
    ),
    ...levelMembers,
  },
  { title: 'AirLineReadings', description: 'Water level by an air line.', additionalProperties: false },
)
export type AirLine = Static<typeof schema>

function measure(readings: AirLine, around: LevelSurroundings): LevelMeasured {
  const { graph, edition, instruments, place } = around
  const { airLineLength, airLineLengthBasis } = readings
  const length = graph.leaf(LENGTH, `${place}/airLineLength`, airLineLength)
  const name = airLineLengthBasis === 'checked-with-sounder' ? 'air-line-length-checked' : 'air-line-length'
  // One line serves both levels: its length drops out of the drawdown.
  const origin = `plant/air-line-of-${airLineLength.value}-${airLineLength.unit}`
  const component = instruments.shared(origin, name, () => ({
    kind: defaultKind(edition, name, 'measure'),
    place: origin,
    group: origin,
    u: edition.defaults[name].u,
    dof: Infinity,
  }))
  graph.act(component, length, 1)
  const code = readings.pressures[0]!.instrument ?? around.instrument
  // A length worked out from a sounded level holds the weight of the air in the line already.
  const atEnd = (pressure: Node): Node =>
    airLineLengthBasis === 'checked-with-sounder'
      ? pressure
      : graph.apply(airLineEndPressure, {
          pressure,
          airDensity: graph.apply(manometerAirDensity, { pressure }),
          length,
        })
  const { depth, trend } = measureColumn(readings, length, PRESSURE, code, STAND_IN, around, atEnd)
  return { level: belowDatum(depth, readings, around), trend }
}

export const airLine = defineLevelMethod({
  id: 'air-line',
  title: 'Air line',
  schema,
  formulas: [
    meanPressure,
    ventedPressure,
    levelFromPressure,
    soundedLevel,
    levelSlope,
  ] as unknown as readonly AnyFormula[],
  source: {
    document: 'USGS, Groundwater Technical Procedures GWPD 13, version 2010.1',
    place: 'water level by an air line (item from memory)',
    basis: 'from memory',
  },
  cautions: ['compressed-gas', 'pressure-and-hammer', 'well-and-contamination', 'well-head'],
  measure,
})
