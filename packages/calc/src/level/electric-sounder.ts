/** Water level by electric sounder: a probe on a marked tape that answers at the water. */
import { Type } from 'typebox'
import type { AnyFormula } from '../formula.ts'
import { soundedLevel } from '../formulas/sounded-level.ts'
import type { Node } from '../graph.ts'
import { Code, reading } from '../readings.ts'
import { accuracyRatio, defaultKind, instrumentOf, leafKind, stepOf, widen } from '../surroundings.ts'
import { resolution, sampleDeviation } from '../uncertainty.ts'
import { toSi } from '../units.ts'
import { defineLevelMethod, type LevelSurroundings } from './level-method.ts'

const TAPE = leafKind('Tape reading of the sounder', 'length')
const MEASURING_POINT = leafKind('Measuring point above the level datum', 'length')
const REPEATS = {
  id: 'level-repeats',
  label: 'Scatter of the level repeats',
  action: 'repeat',
  source: { document: 'JCGM 100:2008', place: '4.2.3, standard deviation of the mean', basis: 'from memory' },
  unit: 'm',
} as const

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
    mark: Type.Optional(Code('Code of the measuring point, for example access-edge.')),
    measuringPointAboveDatum: Type.Optional(
      reading('length', 'Measuring point above the level datum; negative if below; absent if it is the datum.'),
    ),
  },
  { title: 'SounderReadings', description: 'Water level by electric sounder.', additionalProperties: false },
)

/** Size of the random error of one reading: the scatter of repeats, where they show more than a step of the tape. */
function actRandom(
  readings: { repeats?: { value: number; unit: string }[] },
  around: LevelSurroundings,
  tape: Node,
  step: number | undefined,
): void {
  const { graph, edition, place } = around
  const stepM = step ?? edition.defaults['sounder-resolution'].value * 0.3048
  const u = step === undefined ? edition.defaults['sounder-resolution'].u : resolution(step)
  const repeats = readings.repeats
  if (repeats !== undefined && repeats.length >= 2) {
    const depths = repeats.map((repeat) => toSi(repeat, 'length'))
    const scatter = sampleDeviation(depths) / Math.sqrt(depths.length)
    const beyondOneStep = Math.max(...depths) - Math.min(...depths) > stepM * (1 + 1e-9)
    if (beyondOneStep && scatter > u) {
      graph.act(
        graph.component({ kind: REPEATS, place: `${place}/repeats`, group: place, u: scatter, dof: depths.length - 1 }),
        tape,
        1,
      )
      return
    }
  }
  const kind =
    step === undefined
      ? defaultKind(edition, 'sounder-resolution', 'repeat')
      : around.instruments.kind('level-resolution', 'Step of the sounder', 'repeat', 'length')
  graph.act(graph.component({ kind, place: `${place}/reading`, group: place, u, dof: Infinity }), tape, 1)
}

export const electricSounder = defineLevelMethod({
  id: 'electric-sounder',
  title: 'Electric sounder',
  schema,
  formulas: [soundedLevel as unknown as AnyFormula],
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
    const step = stepOf(instrument, 'length')
    actRandom(readings, around, tape, step === undefined ? undefined : toSi(step, 'length'))

    const point = readings.measuringPointAboveDatum
    if (point === undefined) return tape
    const measuringPoint = graph.leaf(MEASURING_POINT, `${place}/measuringPointAboveDatum`, point)
    widen(around, 'gauge-height', 'measure', `${place}/measuringPointAboveDatum`, place, measuringPoint, 1)
    return graph.apply(soundedLevel, { tape, measuringPoint })
  },
})
