/** Pressure at the discharge tap, and the height of the gauge above the discharge centre. */
import type { Facts } from './findings/facts.ts'
import { ventedPressure } from './formulas/vented-pressure.ts'
import type { Node } from './graph.ts'
import type { Run } from './sheet.ts'
import { accuracyRatio, defaultKind, instrumentOf, leafKind, stepOf, widen } from './surroundings.ts'
import { rectangular, resolution } from './uncertainty.ts'
import { toSi } from './units.ts'
import type { Visit } from './visit.ts'

const SHOWN = leafKind('Discharge gauge', 'pressure')
const ZERO = leafKind('Discharge gauge when vented', 'pressure')
const HEIGHT = leafKind('Gauge centre above the discharge centre', 'length')
const OPEN = leafKind('Discharge open to the air', 'pressure')
const SWING = {
  id: 'pressure-swing',
  label: 'Swing of the discharge gauge',
  action: 'repeat',
  source: { document: 'JCGM 100:2008', place: '4.3.7, rectangular distribution', basis: 'from memory' },
  unit: 'Pa',
} as const

export interface PressureMeasured {
  /** Gauge pressure in Pa. */
  readonly pressure: Node
  readonly gaugeHeight: Node | undefined
}

/** Causes of uncertainty of the gauge, in Pa. */
function widenGauge(
  shown: Node,
  place: string,
  code: string | undefined,
  zeroRead: boolean,
  visit: Visit,
  facts: Facts,
): void {
  const { graph, edition, instruments } = visit
  const instrument = instruments.find(code, 'pressure-gauge', 'pressure-transducer')
  const origin = code === undefined ? 'edition/gauge-accuracy' : `instrument/${code}`
  const value = Math.abs(graph.values[shown]!)
  const fullScale =
    instrument?.fullScale === undefined
      ? Math.max(value * edition.settings.assumedScalePerReading, edition.settings.leastAssumedScalePa)
      : toSi(instrument.fullScale, 'pressure')
  if (instrument?.fullScale !== undefined) facts.gaugeFullScale = fullScale

  const accuracy = instrument?.accuracy
  const shared = instruments.shared(origin, 'gauge-accuracy', () => ({
    kind:
      accuracy === undefined
        ? defaultKind(edition, 'gauge-accuracy', 'certify')
        : instruments.kind('gauge-accuracy', 'Accuracy of the pressure gauge', 'better-instrument', 'ratio'),
    place: origin,
    group: origin,
    u: accuracy === undefined ? edition.defaults['gauge-accuracy'].u : accuracyRatio(accuracy),
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
}

/** Brings the discharge pressure of a run into the graph. */
export function measurePressure(run: Run, place: string, visit: Visit, facts: Facts): PressureMeasured | undefined {
  const { graph, sheet } = visit
  facts.dischargeOpen = run.dischargeOpen
  const readings = run.dischargePressure
  if (readings === undefined) {
    if (run.dischargeOpen !== true) return undefined
    const pressure = graph.leaf(OPEN, `${place}/dischargeOpen`, { value: 0, unit: 'Pa' })
    return { pressure, gaugeHeight: undefined }
  }
  const at = `${place}/dischargePressure`
  const shown = graph.leaf(SHOWN, `${at}/reading`, readings.reading)
  widenGauge(
    shown,
    `${at}/reading`,
    instrumentOf(readings.reading, sheet.instruments?.pressure),
    readings.gaugeZero !== undefined,
    visit,
    facts,
  )
  if (readings.swing !== undefined) {
    const width = toSi(readings.swing, 'pressure')
    facts.pressureSwing = width
    if (width > 0)
      graph.act(
        graph.component({
          kind: SWING,
          place: `${at}/swing`,
          group: `${at}/reading`,
          u: rectangular(width / 2),
          dof: Infinity,
        }),
        shown,
        1,
      )
  }
  let pressure = shown
  if (readings.gaugeZero !== undefined) {
    facts.gaugeZero = toSi(readings.gaugeZero, 'pressure')
    pressure = graph.apply(ventedPressure, { shown, zero: graph.leaf(ZERO, `${at}/gaugeZero`, readings.gaugeZero) })
  }
  facts.dischargePressure = graph.values[pressure]!
  const height = readings.gaugeHeightAboveDischargeCentre
  if (height === undefined) return { pressure, gaugeHeight: undefined }
  const heightAt = `${at}/gaugeHeightAboveDischargeCentre`
  const gaugeHeight = graph.leaf(HEIGHT, heightAt, height)
  widen(visit, 'gauge-height', 'measure', heightAt, heightAt, gaugeHeight, 1)
  facts.gaugeHeight = graph.values[gaugeHeight]!
  return { pressure, gaugeHeight }
}
