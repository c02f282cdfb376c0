/** The units in which the tester read decide the units in which answers are shown. */
import type { SayUnits } from './findings/say.ts'
import { testedFlows } from './flow/flow-of-run.ts'
import { lengthUnitOf } from './level/depths.ts'
import type { Run, Sheet } from './sheet.ts'

const METRIC_LENGTHS = new Set(['m', 'cm', 'mm'])

export interface PreferredUnits extends SayUnits {
  readonly system: 'us' | 'metric'
}

const US = {
  system: 'us',
  length: 'ft',
  shortLength: 'in',
  pressure: 'psi',
  flow: 'gpm',
  velocity: 'ft/s',
  power: 'kW',
} as const
const METRIC = {
  system: 'metric',
  length: 'm',
  shortLength: 'mm',
  pressure: 'kPa',
  flow: 'L/s',
  velocity: 'm/s',
  power: 'kW',
} as const

const surfaceOf = (run: Run | undefined) =>
  run?.suction?.method === 'open-surface' ? run.suction.waterSurfaceAboveDischargeCentre : undefined

/** The pipe of the first flow. */
const pipeOf = (run: Run | undefined) => (run === undefined ? undefined : testedFlows(run)[0]?.readings.pipe)

/** Unit of the first level read; where no level was read, of the pipe or the pressure. */
export function preferredUnits(sheet: Sheet): PreferredUnits {
  const run = sheet.runs[0]
  const unit =
    (run?.pumpingLevel && lengthUnitOf(run.pumpingLevel)) ??
    (sheet.standingLevel && lengthUnitOf(sheet.standingLevel)) ??
    sheet.dischargeCentreAboveDatum?.unit ??
    surfaceOf(run)?.unit ??
    pipeOf(run)?.insideDiameters?.[0]?.unit ??
    pipeOf(run)?.outsideDiameter?.unit
  if (unit !== undefined) return METRIC_LENGTHS.has(unit) ? METRIC : US
  const pressure = run?.dischargePressure?.reading.unit
  return pressure !== undefined && pressure !== 'psi' && pressure !== '[psi]' ? METRIC : US
}
