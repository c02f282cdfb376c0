/** A pressure gauge at a tap: what it shows, its zero, its swing, its height, and how far it may be off. */

import { ventedPressure } from './formulas/vented-pressure.ts'
import type { LeafKind, Node } from './graph.ts'
import type { Reading } from './readings.ts'
import { accuracyRatio, defaultKind, fullScaleOf, leafKind, type Surroundings, stepOf, widen } from './surroundings.ts'
import { rectangular, resolution } from './uncertainty.ts'
import { toSi } from './units.ts'

type Around = Pick<Surroundings, 'graph' | 'edition' | 'instruments'>

/** Which gauge it is: the words for its readings, and the name of its default accuracy where no instrument is named. */
interface GaugeKind {
  readonly shown: LeafKind
  readonly zero: LeafKind
  readonly height: LeafKind
  /** Two gauges that are not named are two gauges: each has an error of its own. */
  readonly standIn: string
}

const kindOf = (name: string, standIn: string): GaugeKind => ({
  shown: leafKind(`${name} gauge`, 'pressure'),
  zero: leafKind(`${name} gauge when vented`, 'pressure'),
  height: leafKind(`${name} gauge centre above the discharge centre`, 'length'),
  standIn,
})
export const DISCHARGE_GAUGE = kindOf('Discharge', 'edition/gauge-accuracy')
export const SUCTION_GAUGE = kindOf('Suction', 'edition/gauge-accuracy/suction')

const SWING = {
  id: 'pressure-swing',
  label: 'Swing of the gauge',
  action: 'repeat',
  source: { document: 'JCGM 100:2008', place: '4.3.7, rectangular distribution', basis: 'from memory' },
  unit: 'Pa',
} as const

export interface GaugeReadings {
  readonly reading: Reading
  readonly gaugeZero?: Reading
  readonly swing?: Reading
  readonly gaugeHeightAboveDischargeCentre?: Reading
}

export interface GaugeMeasured {
  /** Gauge pressure in Pa, signed. */
  readonly pressure: Node
  readonly gaugeHeight: Node | undefined
  /** End of the scale in Pa, where it is on record. */
  readonly fullScale: number | undefined
}

/** Lets the causes of uncertainty of the gauge act; gives the end of its scale in Pa, where it is on record. */
export function widenGauge(
  shown: Node,
  place: string,
  code: string | undefined,
  zeroRead: boolean,
  gauge: Pick<GaugeKind, 'standIn'>,
  visit: Around,
): number | undefined {
  const { graph, edition, instruments } = visit
  const instrument = instruments.find(code, 'pressure-gauge', 'pressure-transducer')
  const origin = code === undefined ? gauge.standIn : `instrument/${code}`
  const value = Math.abs(graph.values[shown]!)
  const onRecord = fullScaleOf(instrument, 'pressure')
  const fullScale =
    onRecord ?? Math.max(value * edition.settings.assumedScalePerReading, edition.settings.leastAssumedScalePa)

  const accuracy = instrument?.accuracy
  const standIn = instrument?.kind === 'pressure-transducer' ? 'transducer-accuracy' : 'gauge-accuracy'
  const shared = instruments.shared(origin, 'gauge-accuracy', () => ({
    kind:
      accuracy === undefined
        ? defaultKind(edition, standIn, 'certify')
        : instruments.kind('gauge-accuracy', 'Accuracy of the pressure gauge', 'better-instrument', 'ratio'),
    place: origin,
    group: origin,
    u: accuracy === undefined ? edition.defaults[standIn].u : accuracyRatio(accuracy),
    dof: Infinity,
  }))
  graph.act(shared, shown, accuracy?.of === 'reading' ? value : fullScale)
  if (!zeroRead) {
    const at = 'edition/gauge-zero-not-read'
    widen(visit, 'gauge-zero-not-read', 'measure', at, at, shown, fullScale)
  }
  const step = stepOf(instrument, 'pressure')
  if (step === undefined) widen(visit, 'gauge-resolution', 'repeat', place, place, shown, fullScale)
  else
    graph.act(
      graph.component({
        kind: instruments.kind('gauge-step', 'Step of the gauge', 'repeat', 'pressure'),
        place,
        group: place,
        u: resolution(toSi(step, 'pressure')),
        dof: Infinity,
      }),
      shown,
      1,
    )
  return onRecord
}

/** Brings a gauge into the graph; `at` is the place of its readings, `code` that of the instrument. */
export function measureGauge(
  readings: GaugeReadings,
  at: string,
  code: string | undefined,
  gauge: GaugeKind,
  visit: Around,
): GaugeMeasured {
  const { graph } = visit
  const place = `${at}/reading`
  const shown = graph.leaf(gauge.shown, place, readings.reading)
  const fullScale = widenGauge(shown, place, code, readings.gaugeZero !== undefined, gauge, visit)
  const width = readings.swing === undefined ? 0 : toSi(readings.swing, 'pressure')
  if (width > 0)
    graph.act(
      graph.component({ kind: SWING, place: `${at}/swing`, group: place, u: rectangular(width / 2), dof: Infinity }),
      shown,
      1,
    )
  const pressure =
    readings.gaugeZero === undefined
      ? shown
      : graph.apply(ventedPressure, { shown, zero: graph.leaf(gauge.zero, `${at}/gaugeZero`, readings.gaugeZero) })
  const height = readings.gaugeHeightAboveDischargeCentre
  if (height === undefined) return { pressure, gaugeHeight: undefined, fullScale }
  const heightAt = `${at}/gaugeHeightAboveDischargeCentre`
  const gaugeHeight = graph.leaf(gauge.height, heightAt, height)
  widen(visit, 'gauge-height', 'measure', heightAt, heightAt, gaugeHeight, 1)
  return { pressure, gaugeHeight, fullScale }
}
