/** A pressure that a column of water makes at the end of an air line or at a sensor. */
import { Type } from 'typebox'
import { STANDARD_GRAVITY } from '../constants.ts'
import type { ContextInstrument } from '../context.ts'
import { levelFromPressure } from '../formulas/level-from-pressure.ts'
import { meanPressure } from '../formulas/mean-pressure.ts'
import { ventedPressure } from '../formulas/vented-pressure.ts'
import { widenGauge } from '../gauge.ts'
import type { ComponentKind, LeafKind, Node } from '../graph.ts'
import { type Reading, reading } from '../readings.ts'
import { defaultKind, leafKind, stepOf } from '../surroundings.ts'
import { resolution, sampleDeviation } from '../uncertainty.ts'
import { toSi } from '../units.ts'
import type { LevelSurroundings } from './level-method.ts'
import { measureTrend } from './trend.ts'

const ZERO = leafKind('What the gauge shows when vented', 'pressure')
const SCATTER: ComponentKind = {
  id: 'pressure-repeats',
  label: 'Scatter of the repeated pressures',
  action: 'repeat',
  source: { document: 'JCGM 100:2008', place: '4.2.3, standard deviation of the mean', basis: 'from memory' },
  unit: 'Pa',
}

/** Readings of the pressure, as they stand on the sheet; `what` says which pressure it is, `zero` what is left without water. */
export const pressureMembers = (what: string, zero: string) => ({
  pressures: Type.Array(reading('pressure', what), {
    minItems: 1,
    maxItems: 20,
    description: 'Repeats; the level is that of their mean.',
  }),
  gaugeZero: Type.Optional(reading('pressure', zero)),
  series: Type.Optional(
    Type.Array(reading('pressure', 'A pressure of the series, with its time.'), {
      maxItems: 200,
      description: 'Pressures read one after the other while the water settles.',
    }),
  ),
})

interface WaterPressure {
  readonly pressures: readonly Reading[]
  readonly gaugeZero?: Reading
  readonly series?: readonly Reading[]
}

/** Depth below the upper end of the line, and its trend; undefined where no pressure was read. */
export function measureColumn(
  readings: WaterPressure,
  length: Node,
  leaf: LeafKind,
  code: string | undefined,
  standIn: string,
  around: LevelSurroundings,
  /** From the pressure of the gauge to that at the lower end. */
  atEnd: (pressure: Node) => Node = (pressure) => pressure,
): { depth: Node; trend: Node | undefined } {
  const { graph, place, density } = around
  const shown = readings.pressures.map((pressure, i) => graph.leaf(leaf, `${place}/pressures/${i}`, pressure))
  const mean = graph.apply(meanPressure, { pressures: shown })
  const { gaugeZero } = readings
  const zero = gaugeZero && graph.leaf(ZERO, `${place}/gaugeZero`, gaugeZero)
  const vented = (pressure: Node): Node =>
    zero === undefined ? pressure : graph.apply(ventedPressure, { shown: pressure, zero })
  widenGauge(mean, `${place}/pressures`, code, readings.gaugeZero !== undefined, { standIn }, around)
  if (shown.length >= 2) {
    const u = sampleDeviation(shown.map((node) => graph.values[node]!)) / Math.sqrt(shown.length)
    const group = `${place}/pressures`
    if (u > 0) graph.act(graph.component({ kind: SCATTER, place: group, group, u, dof: shown.length - 1 }), mean, 1)
  }
  const series = (readings.series ?? []).map((pressure, i) => ({
    at: pressure.at,
    node: () =>
      graph.apply(levelFromPressure, {
        length,
        pressure: atEnd(vented(graph.leaf(leaf, `${place}/series/${i}`, pressure))),
        density,
      }),
  }))
  return {
    depth: graph.apply(levelFromPressure, { length, pressure: atEnd(vented(mean)), density }),
    trend: measureTrend(series, stepAsLevel(code, around), around),
  }
}

/** Step of the gauge as a column of water. */
function stepAsLevel(code: string | undefined, { graph, edition, instruments, density }: LevelSurroundings) {
  const instrument: ContextInstrument | undefined = instruments.find(code, 'pressure-gauge', 'pressure-transducer')
  const step = stepOf(instrument, 'pressure')
  const weight = graph.values[density]! * STANDARD_GRAVITY
  if (step === undefined)
    return { kind: defaultKind(edition, 'gauge-column-step', 'repeat'), u: edition.defaults['gauge-column-step'].u }
  return {
    kind: instruments.kind('level-resolution', 'Step of the gauge as water', 'repeat', 'length'),
    u: resolution(toSi(step, 'pressure')) / weight,
  }
}
