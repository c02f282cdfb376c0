/** Pressure at the discharge tap, and the height of the gauge above the discharge centre. */
import type { Facts } from './findings/facts.ts'
import { DISCHARGE_GAUGE, type GaugeMeasured, measureGauge } from './gauge.ts'
import type { Run } from './sheet.ts'
import { instrumentOf, leafKind } from './surroundings.ts'
import { toSi } from './units.ts'
import type { Visit } from './visit.ts'

const OPEN = leafKind('Discharge open to the air', 'pressure')

/** Brings the discharge pressure of a run into the graph. */
export function measurePressure(run: Run, place: string, visit: Visit, facts: Facts): GaugeMeasured | undefined {
  const { graph, sheet } = visit
  facts.dischargeOpen = run.dischargeOpen
  const readings = run.dischargePressure
  if (readings === undefined) {
    if (run.dischargeOpen !== true) return undefined
    const pressure = graph.leaf(OPEN, `${place}/dischargeOpen`, { value: 0, unit: 'Pa' })
    return { pressure, gaugeHeight: undefined, fullScale: undefined }
  }
  const code = instrumentOf(readings.reading, sheet.instruments?.pressure)
  const measured = measureGauge(readings, `${place}/dischargePressure`, code, DISCHARGE_GAUGE, visit)
  facts.dischargePressure = graph.values[measured.pressure]!
  if (measured.fullScale !== undefined) facts.gaugeFullScale = measured.fullScale
  if (readings.gaugeZero !== undefined) facts.gaugeZero = toSi(readings.gaugeZero, 'pressure')
  if (readings.swing !== undefined) facts.pressureSwing = toSi(readings.swing, 'pressure')
  if (measured.gaugeHeight !== undefined) facts.gaugeHeight = graph.values[measured.gaugeHeight]!
  return measured
}
