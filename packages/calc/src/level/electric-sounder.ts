/** Water level by electric sounder: a probe on a marked tape that answers at the water. */
import { Type } from 'typebox'
import type { ContextInstrument } from '../context.ts'
import type { AnyFormula } from '../formula.ts'
import { levelSlope } from '../formulas/level-slope.ts'
import { oilInterfaceLevel } from '../formulas/oil-interface-level.ts'
import { soundedLevel } from '../formulas/sounded-level.ts'
import { reading } from '../readings.ts'
import { accuracyRatio, defaultKind, instrumentOf, leafKind, stepOf } from '../surroundings.ts'
import { resolution } from '../uncertainty.ts'
import { toSi } from '../units.ts'
import { belowDatum, levelMembers, oilMembers, withoutOil } from './common.ts'
import { defineLevelMethod, type LevelSurroundings } from './level-method.ts'
import { actRandom } from './repeats-of-level.ts'
import { measureTrend } from './trend.ts'

const TAPE = leafKind('Tape reading of the sounder', 'length')
const schema = Type.Object(
  {
    method: Type.Literal('electric-sounder', { description: 'Electric sounder.' }),
    reading: reading('length', 'Tape reading at the measuring point; in a series the last one.'),
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
    ...levelMembers,
    ...oilMembers,
  },
  { title: 'SounderReadings', description: 'Water level by electric sounder.', additionalProperties: false },
)

/** What one reading is known to by the step of the tape. */
function stepOfTape(instrument: ContextInstrument | undefined, { edition, instruments }: LevelSurroundings) {
  const onRecord = stepOf(instrument, 'length')
  if (onRecord === undefined) {
    const declared = edition.defaults['sounder-resolution']
    return {
      kind: defaultKind(edition, 'sounder-resolution', 'repeat'),
      step: toSi({ value: declared.value, unit: declared.unit }, 'length'),
      u: declared.u,
    }
  }
  const step = toSi(onRecord, 'length')
  const kind = instruments.kind('level-resolution', 'Step of the sounder', 'repeat', 'length')
  return { kind, step, u: resolution(step) }
}

export const electricSounder = defineLevelMethod({
  id: 'electric-sounder',
  title: 'Electric sounder',
  schema,
  formulas: [soundedLevel, oilInterfaceLevel, levelSlope] as unknown as readonly AnyFormula[],
  source: {
    document: 'USGS, Groundwater Technical Procedures GWPD 4, version 2010.1',
    place: 'electric tape (item from memory)',
    basis: 'from memory',
  },
  cautions: ['well-and-contamination', 'well-head', 'alone'],

  measure(readings, around) {
    const { graph, edition, instruments, place } = around
    const tape = graph.leaf(TAPE, `${place}/reading`, readings.reading)
    const code = instrumentOf(readings.reading, around.instrument)
    const instrument = instruments.find(code, 'electric-sounder')
    const accuracy = instrument?.accuracy
    const atScale = code === undefined ? 'edition/sounder-scale' : `instrument/${code}`
    const scale = instruments.shared(atScale, 'sounder-scale', () => ({
      kind:
        accuracy === undefined
          ? defaultKind(edition, 'sounder-scale', 'certify')
          : instruments.kind('sounder-scale', 'Scale of the sounder', 'better-instrument', 'ratio'),
      place: atScale,
      group: atScale,
      u: accuracy === undefined ? edition.defaults['sounder-scale'].u : accuracyRatio(accuracy),
      dof: Infinity,
    }))
    graph.act(scale, tape, toSi(readings.reading, 'length'))
    const atOffset = code === undefined ? 'edition/sounder-offset' : `instrument/${code}`
    const offset = instruments.shared(atOffset, 'sounder-offset', () => ({
      kind: defaultKind(edition, 'sounder-offset', 'certify'),
      place: atOffset,
      group: atOffset,
      u: edition.defaults['sounder-offset'].u,
      dof: Infinity,
    }))
    graph.act(offset, tape, 1)
    const step = stepOfTape(instrument, around)
    actRandom(
      (readings.repeats ?? []).map((repeat) => toSi(repeat, 'length')),
      step,
      tape,
      around,
    )
    const series = (readings.series ?? []).map((level, i) => ({
      at: level.at,
      node: () => graph.leaf(TAPE, `${place}/series/${i}`, level),
    }))
    return {
      level: belowDatum(withoutOil(tape, 'interface', readings, around), readings, around),
      trend: measureTrend(series, step, around),
    }
  },
})
