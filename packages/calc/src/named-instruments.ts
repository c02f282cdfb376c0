/** Which instruments a sheet names, where, and for which reading. */
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

type Use = keyof NonNullable<Sheet['instruments']>

/** Which readings of a run are made with the instrument of a use; the first that fits holds. A tape measure is none. */
const USES: readonly (readonly [place: RegExp, use: Use])[] = [
  [/^\/standingLevel\/reading$|^\/runs\/\d+\/pumpingLevel\/reading$/, 'level'],
  [/^\/runs\/\d+\/dischargePressure\/(reading|gaugeZero)$/, 'pressure'],
  [/^\/runs\/\d+\/suction\/(reading|gaugeZero)$/, 'suctionPressure'],
  [/^\/runs\/\d+\/(flow|power)\/(timings\/\d+\/)?elapsed$/, 'time'],
  [/^\/runs\/\d+\/flow\/(diameters\/\d+\/points|rates|velocities)\/\d+$/, 'flow'],
  [/^\/runs\/\d+\/flow\/(tube\/coefficient|start|end|head|headRepeats\/\d+|downstreamHead)$/, 'flow'],
  [/^\/runs\/\d+\/power\/(electrical\/)?((voltages|currents)(\/\d+)?|powerFactor)$/, 'power'],
  [/^\/runs\/\d+\/waterTemperature$/, 'temperature'],
]

/** Code of the instrument that the reading at a JSON Pointer was made with, as the sheet names it; undefined if it names none. */
export function instrumentOfReading(sheet: Sheet, pointer: string): string | undefined {
  const use = USES.find(([place]) => place.test(pointer))?.[1]
  if (use === undefined) return undefined
  return namedAt(sheet, pointer, use) ?? sheet.instruments?.[use]
}

/** What the reading itself, or the method it belongs to, names. */
function namedAt(sheet: Sheet, pointer: string, use: Use): string | undefined {
  const path = pointer.slice(1).split('/')
  let value: unknown = sheet
  for (const name of path) value = (value as Readonly<Record<string, unknown>> | undefined)?.[name]
  const own = (value as Reading | undefined)?.instrument
  if (own !== undefined || path[0] !== 'runs') return own
  const { flow, power } = sheet.runs[Number(path[1])]!
  if (use === 'flow') {
    if (flow?.method === 'pitot-traverse') return flow.tube.instrument ?? flow.tube.coefficient?.instrument
    return flow?.instrument
  }
  return use === 'power' && power?.method === 'volts-amps' ? power.instrument : undefined
}
