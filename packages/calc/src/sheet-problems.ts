/** What a schema can't say about a sheet: members that exclude or need each other. Shape, not judgement. */
import type { Pipe } from './flow/pipe.ts'
import type { SwingingReading } from './readings.ts'
import type { Run, Sheet } from './sheet.ts'
import { toSi } from './units.ts'

export interface SheetProblem {
  /** JSON Pointer into the sheet. */
  readonly pointer: string
  readonly message: string
  readonly allowed?: readonly string[]
}

function swingingProblem(point: SwingingReading, pointer: string): SheetProblem[] {
  const swing = point.low !== undefined || point.high !== undefined
  const forms = (point.value !== undefined ? 1 : 0) + (point.repeats !== undefined ? 1 : 0) + (swing ? 1 : 0)
  if (forms === 1 && (!swing || (point.low !== undefined && point.high !== undefined))) {
    if (swing && point.low! > point.high!) return [{ pointer: `${pointer}/low`, message: 'low is above high.' }]
    return []
  }
  return [
    {
      pointer,
      message: 'A point is one value, or repeats, or the lowest and highest of its swing: exactly one of the three.',
      allowed: ['value', 'repeats', 'low and high'],
    },
  ]
}

function leavesAnOpening({ outsideDiameter, wallThickness, liningThickness }: Pipe): boolean {
  if (outsideDiameter === undefined || wallThickness === undefined) return true
  const lining = liningThickness === undefined ? 0 : toSi(liningThickness, 'length')
  return toSi(outsideDiameter, 'length') - 2 * toSi(wallThickness, 'length') - 2 * lining > 0
}

function flowProblems(flow: NonNullable<Run['flow']>, pointer: string): SheetProblem[] {
  const problems: SheetProblem[] = []
  const { manometer, pipe, diameters } = flow
  if (manometer.fluid !== 'air-over-water' && manometer.relativeDensity === undefined)
    problems.push({
      pointer: `${pointer}/manometer/relativeDensity`,
      message: `A manometer with ${manometer.fluid} needs the relative density of the liquid.`,
    })
  if (manometer.fluid === 'air-over-water' && manometer.relativeDensity !== undefined)
    problems.push({ pointer: `${pointer}/manometer/relativeDensity`, message: 'Not for air over water: leave it out.' })
  const { relativeDensity } = manometer
  if (relativeDensity !== undefined && toSi(relativeDensity, 'ratio') === 1)
    problems.push({
      pointer: `${pointer}/manometer/relativeDensity`,
      message: 'A liquid as dense as the water shows no difference: it can’t be 1.',
    })
  if (!leavesAnOpening(pipe))
    problems.push({
      pointer: `${pointer}/pipe/wallThickness`,
      message: 'Wall and lining leave no opening in the pipe.',
    })
  if ((pipe.outsideDiameter === undefined) !== (pipe.wallThickness === undefined))
    problems.push({ pointer: `${pointer}/pipe`, message: 'Outside diameter and wall thickness go together.' })
  diameters.forEach((diameter, d) => {
    const at = `${pointer}/diameters/${d}`
    diameter.points.forEach((point, p) => {
      problems.push(...swingingProblem(point, `${at}/points/${p}`))
    })
    if (diameter.centre !== undefined) problems.push(...swingingProblem(diameter.centre, `${at}/centre`))
    if (diameter.positions !== undefined && diameter.positions.length !== diameter.points.length)
      problems.push({ pointer: `${at}/positions`, message: 'Give one position for each point, or none.' })
  })
  return problems
}

/** Problems of shape beyond the schema; empty for a sheet that can be evaluated. */
export function sheetProblems(sheet: Sheet): SheetProblem[] {
  const problems: SheetProblem[] = []
  const runs = sheet.runs.length
  const inRuns = `0 to ${runs - 1}`
  if (sheet.normalRun !== undefined && sheet.normalRun >= runs)
    problems.push({ pointer: '/normalRun', message: `There is no run ${sheet.normalRun}.`, allowed: [inRuns] })
  sheet.leftOut?.forEach((left, i) => {
    if (left.run !== undefined && left.run >= runs)
      problems.push({ pointer: `/leftOut/${i}/run`, message: `There is no run ${left.run}.`, allowed: [inRuns] })
  })
  sheet.runs.forEach((run, index) => {
    const at = `/runs/${index}`
    if (run.flow !== undefined) problems.push(...flowProblems(run.flow, `${at}/flow`))
    const { power } = run
    if (power !== undefined && (power.otherLoads === 'measured') !== (power.otherLoad !== undefined))
      problems.push({
        pointer: `${at}/power/otherLoad`,
        message: '`otherLoad` is given exactly where `otherLoads` says measured.',
      })
    if (run.dischargeOpen === true && run.dischargePressure !== undefined)
      problems.push({
        pointer: `${at}/dischargeOpen`,
        message: 'Either the discharge is open or its pressure was read.',
      })
  })
  return problems
}
