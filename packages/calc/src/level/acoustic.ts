/** Water level by sound sent down the casing. */
import { type Static, Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { acousticLevel } from '../formulas/acoustic-level.ts'
import { levelSlope } from '../formulas/level-slope.ts'
import { oilTopLevel } from '../formulas/oil-top-level.ts'
import { soundedLevel } from '../formulas/sounded-level.ts'
import type { Node } from '../graph.ts'
import { reading } from '../readings.ts'
import { defaultKind, leafKind, widen } from '../surroundings.ts'
import { toSi } from '../units.ts'
import { belowDatum, levelMembers, oilMembers, withoutOil } from './common.ts'
import { defineLevelMethod, type LevelMeasured, type LevelSurroundings } from './level-method.ts'
import { actRandom } from './repeats-of-level.ts'
import { measureTrend } from './trend.ts'

const SHOWN = leafKind('Depth shown by the acoustic device', 'length')
const CASING = leafKind('Temperature of the air in the casing', 'temperature')
const SET = leafKind('Temperature set in the device', 'temperature')

const schema = Type.Object(
  {
    method: Type.Literal('acoustic', { description: 'Acoustic device.' }),
    reading: reading('length', 'Depth that the device shows; in a series the last one.'),
    repeats: Type.Optional(
      Type.Array(reading('length', 'A repeat of the reading.'), {
        maxItems: 20,
        description: 'Repeats of the same level.',
      }),
    ),
    series: Type.Optional(
      Type.Array(reading('length', 'A level of the series, with its time.'), {
        maxItems: 200,
        description: 'Levels read one after the other while the water settles; the last is the reading.',
      }),
    ),
    casingTemperature: Type.Optional(reading('temperature', 'Temperature of the air in the casing.')),
    temperatureSet: Type.Optional(
      reading('temperature', 'Temperature that the device takes for it; goes with the temperature of the casing.'),
    ),
    ...levelMembers,
    ...oilMembers,
  },
  { title: 'AcousticReadings', description: 'Water level by sound.', additionalProperties: false },
)
export type Acoustic = Static<typeof schema>

/** The depth shown, brought to the temperature of the casing where both temperatures are known. */
function atCasing(shown: Node, { casingTemperature, temperatureSet }: Acoustic, around: LevelSurroundings): Node {
  const { graph, place } = around
  if (casingTemperature === undefined || temperatureSet === undefined) {
    widen(around, 'acoustic-sound-speed', 'measure', place, place, shown, graph.values[shown]!)
    return shown
  }
  const at = `${place}/casingTemperature`
  const casing = graph.leaf(CASING, at, casingTemperature)
  widen(around, 'casing-temperature', 'measure', at, at, casing, 1)
  return graph.apply(acousticLevel, {
    shown,
    casing,
    set: graph.leaf(SET, `${place}/temperatureSet`, temperatureSet),
  })
}

function measure(readings: Acoustic, around: LevelSurroundings): LevelMeasured {
  const { graph, edition, place } = around
  const shown = graph.leaf(SHOWN, `${place}/reading`, readings.reading)
  const declared = edition.defaults['acoustic-repeatability']
  const step = {
    kind: defaultKind(edition, 'acoustic-repeatability', 'repeat'),
    step: toSi({ value: declared.value, unit: declared.unit }, 'length'),
    u: declared.u,
  }
  actRandom(
    (readings.repeats ?? []).map((repeat) => toSi(repeat, 'length')),
    step,
    shown,
    around,
  )
  const series = (readings.series ?? []).map((level, i) => ({
    at: level.at,
    node: () => graph.leaf(SHOWN, `${place}/series/${i}`, level),
  }))
  return {
    level: belowDatum(withoutOil(atCasing(shown, readings, around), 'top', readings, around), readings, around),
    trend: measureTrend(series, step, around),
  }
}

export const acoustic = defineLevelMethod({
  id: 'acoustic',
  title: 'Sound',
  schema,
  formulas: [acousticLevel, oilTopLevel, soundedLevel, levelSlope] as unknown as readonly AnyFormula[],
  source: {
    document: 'general science',
    place: 'time of an echo at the speed of sound',
    basis: 'derived',
  },
  cautions: ['well-and-contamination', 'well-head'],
  measure,
})
