/** Which instruments a sheet names, and where. */
import type { Reading } from './readings.ts'
import type { Sheet } from './sheet.ts'

export interface NamedInstrument {
  readonly code: string
  /** JSON Pointer of the first place that names it. */
  readonly pointer: string
}

/** Every instrument named on the sheet, each once. */
export function namedInstruments(sheet: Sheet): NamedInstrument[] {
  const named = new Map<string, string>()
  const name = (code: string | undefined, pointer: string) => {
    if (code !== undefined && !named.has(code)) named.set(code, pointer)
  }
  const ofReading = (reading: Reading | undefined, pointer: string) =>
    name(reading?.instrument, `${pointer}/instrument`)

  for (const [use, code] of Object.entries(sheet.instruments ?? {})) name(code, `/instruments/${use}`)
  ofReading(sheet.dischargeCentreAboveDatum, '/dischargeCentreAboveDatum')
  ofReading(sheet.standingLevel?.reading, '/standingLevel/reading')
  sheet.runs.forEach((run, index) => {
    const at = `/runs/${index}`
    ofReading(run.waterTemperature, `${at}/waterTemperature`)
    ofReading(run.pumpingLevel?.reading, `${at}/pumpingLevel/reading`)
    ofReading(run.dischargePressure?.reading, `${at}/dischargePressure/reading`)
    if (run.suction?.method === 'gauge') ofReading(run.suction.reading, `${at}/suction/reading`)
    if (run.suction?.method === 'open-surface')
      ofReading(run.suction.vacuumCheck?.reading, `${at}/suction/vacuumCheck/reading`)
    const { flow, power } = run
    if (flow?.method === 'pitot-traverse') {
      name(flow.tube.instrument, `${at}/flow/tube/instrument`)
      ofReading(flow.tube.coefficient, `${at}/flow/tube/coefficient`)
    } else name(flow?.instrument, `${at}/flow/instrument`)
    if (power?.method === 'volts-amps') name(power.instrument, `${at}/power/instrument`)
    run.speeds?.forEach((speed, i) => {
      ofReading(speed, `${at}/speeds/${i}`)
    })
  })
  return [...named].map(([code, pointer]) => ({ code, pointer }))
}
