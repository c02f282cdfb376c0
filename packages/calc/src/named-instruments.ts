/** Which instruments a sheet names, where, and for which reading. */
import { flowsOfRun, testedFlows } from './flow/flow-of-run.ts'
import type { LevelReading } from './level/list.ts'
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

  const ofLevel = (level: LevelReading | undefined, pointer: string) => {
    if (level === undefined) return
    if ('pressures' in level)
      for (const [i, pressure] of level.pressures.entries()) ofReading(pressure, `${pointer}/pressures/${i}`)
    else ofReading(level.reading, `${pointer}/reading`)
  }

  for (const [use, code] of Object.entries(sheet.instruments ?? {})) name(code, `/instruments/${use}`)
  ofReading(sheet.dischargeCentreAboveDatum, '/dischargeCentreAboveDatum')
  ofLevel(sheet.standingLevel, '/standingLevel')
  sheet.runs.forEach((run, index) => {
    const at = `/runs/${index}`
    ofReading(run.waterTemperature, `${at}/waterTemperature`)
    ofLevel(run.pumpingLevel, `${at}/pumpingLevel`)
    ofReading(run.dischargePressure?.reading, `${at}/dischargePressure/reading`)
    if (run.suction?.method === 'gauge') ofReading(run.suction.reading, `${at}/suction/reading`)
    if (run.suction?.method === 'open-surface')
      ofReading(run.suction.vacuumCheck?.reading, `${at}/suction/vacuumCheck/reading`)
    const { power } = run
    for (const { readings, place } of flowsOfRun(run)) {
      if ('tube' in readings) {
        name(readings.tube.instrument, `${at}/${place}/tube/instrument`)
        ofReading(readings.tube.coefficient, `${at}/${place}/tube/coefficient`)
      } else name(readings.instrument, `${at}/${place}/instrument`)
    }
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
  [/^(\/standingLevel|\/runs\/\d+\/pumpingLevel)\/(reading|gaugeZero|pressures\/\d+)$/, 'level'],
  [/^\/runs\/\d+\/dischargePressure\/(reading|gaugeZero)$/, 'pressure'],
  [/^\/runs\/\d+\/suction\/(reading|gaugeZero)$/, 'suctionPressure'],
  [/^\/runs\/\d+\/((flow|comparisonFlow)(\/pipes\/\d+)?|growersMeter|power)\/(timings\/\d+\/)?elapsed$/, 'time'],
  [/^\/runs\/\d+\/flow(\/pipes\/\d+)?\/(diameters\/\d+\/points|rates|velocities)\/\d+$/, 'flow'],
  [
    /^\/runs\/\d+\/flow(\/pipes\/\d+)?\/(tube\/coefficient|centre|zeroFlow|start|end|head|headRepeats\/\d+|downstreamHead)$/,
    'flow',
  ],
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
  const run = sheet.runs[Number(path[1])]!
  const { power } = run
  if (use === 'flow') {
    const readings = testedFlows(run).find(({ place }) => pointer.startsWith(`/runs/${path[1]}/${place}/`))?.readings
    if (readings === undefined) return undefined
    if ('tube' in readings) return readings.tube.instrument ?? readings.tube.coefficient?.instrument
    return readings.instrument
  }
  return use === 'power' && power?.method === 'volts-amps' ? power.instrument : undefined
}
