/** What a schema can't say about a sheet: members that exclude or need each other. Shape, not judgement. */
import { flowsOfRun } from './flow/flow-of-run.ts'
import type { SingleFlow } from './flow/list.ts'
import type { Pipe } from './flow/pipe.ts'
import type { PitotTraverse } from './flow/traverse-readings.ts'
import type { FuelVolume } from './power/fuel-volume.ts'
import type { SwingingReading } from './readings.ts'
import { NOT_TESTABLE_REASONS, type Run, type Sheet } from './sheet.ts'
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

/** Outside diameter in m, as read or from the circumference. */
function outsideOf({ outsideDiameter, outsideCircumference }: Pipe): number | undefined {
  if (outsideDiameter !== undefined) return toSi(outsideDiameter, 'length')
  return outsideCircumference && toSi(outsideCircumference, 'length') / Math.PI
}

function leavesAnOpening(pipe: Pipe): boolean {
  const { wallThickness, liningThickness } = pipe
  const outside = outsideOf(pipe)
  if (outside === undefined || wallThickness === undefined) return true
  const lining = liningThickness === undefined ? 0 : toSi(liningThickness, 'length')
  return outside - 2 * toSi(wallThickness, 'length') - 2 * lining > 0
}

function pipeProblems(pipe: Pipe | undefined, pointer: string): SheetProblem[] {
  if (pipe === undefined) return []
  const problems: SheetProblem[] = []
  if (!leavesAnOpening(pipe))
    problems.push({ pointer: `${pointer}/wallThickness`, message: 'Wall and lining leave no opening in the pipe.' })
  if (pipe.outsideDiameter !== undefined && pipe.outsideCircumference !== undefined)
    problems.push({
      pointer: `${pointer}/outsideCircumference`,
      message: 'Outside diameter and circumference say the same: give one of them.',
      allowed: ['outsideDiameter', 'outsideCircumference'],
    })
  if ((outsideOf(pipe) === undefined) !== (pipe.wallThickness === undefined))
    problems.push({ pointer, message: 'Outside diameter (or circumference) and wall thickness go together.' })
  return problems
}

/** A liquid in the manometer needs its density, air none. */
function manometerProblems({ manometer }: Pick<PitotTraverse, 'manometer'>, pointer: string): SheetProblem[] {
  const problems: SheetProblem[] = []
  const { relativeDensity } = manometer
  const at = `${pointer}/manometer/relativeDensity`
  if (manometer.fluid !== 'air-over-water' && relativeDensity === undefined)
    problems.push({
      pointer: at,
      message: `A manometer with ${manometer.fluid} needs the relative density of the liquid.`,
    })
  if (manometer.fluid === 'air-over-water' && relativeDensity !== undefined)
    problems.push({ pointer: at, message: 'Not for air over water: leave it out.' })
  if (relativeDensity !== undefined && toSi(relativeDensity, 'ratio') === 1)
    problems.push({ pointer: at, message: 'A liquid as dense as the water shows no difference: it can’t be 1.' })
  return problems
}

function traverseProblems({ diameters }: PitotTraverse, pointer: string): SheetProblem[] {
  const problems: SheetProblem[] = []
  diameters.forEach((diameter, d) => {
    const of = `${pointer}/diameters/${d}`
    diameter.points.forEach((point, p) => {
      problems.push(...swingingProblem(point, `${of}/points/${p}`))
    })
    if (diameter.centre !== undefined) problems.push(...swingingProblem(diameter.centre, `${of}/centre`))
    if (diameter.positions !== undefined && diameter.positions.length !== diameter.points.length)
      problems.push({ pointer: `${of}/positions`, message: 'Give one position for each point, or none.' })
  })
  return problems
}

function flowProblems(flow: SingleFlow, pointer: string): SheetProblem[] {
  const problems = pipeProblems(flow.pipe, `${pointer}/pipe`)
  if ('manometer' in flow) problems.push(...manometerProblems(flow, pointer))
  if (flow.method === 'centre-line-velocity') problems.push(...swingingProblem(flow.centre, `${pointer}/centre`))
  if (flow.method === 'pitot-traverse') problems.push(...traverseProblems(flow, pointer))
  if (flow.method === 'meter-totaliser' && flow.modulus !== undefined) {
    const modulus = toSi(flow.modulus, 'volume')
    if (toSi(flow.start, 'volume') > modulus || toSi(flow.end, 'volume') > modulus)
      problems.push({
        pointer: `${pointer}/modulus`,
        message: 'The register starts anew at this volume, so no reading of it can be above.',
      })
  }
  return problems
}

/** A single phase has one voltage and one current. */
function linesProblems(
  { phases, voltages, currents }: { phases: 'three' | 'single'; voltages?: unknown[]; currents?: unknown[] },
  pointer: string,
): SheetProblem[] {
  if (phases === 'three') return []
  return Object.entries({ voltages, currents }).flatMap(([name, lines]) =>
    lines !== undefined && lines.length > 1
      ? [{ pointer: `${pointer}/${name}`, message: 'A single phase has one voltage and one current.' }]
      : [],
  )
}

/** Conditions that belong to the other state of fuel, and a heating value per volume of it. */
function fuelProblems(power: FuelVolume, pointer: string): SheetProblem[] {
  const isGas = power.fuel === 'natural-gas'
  const others = isGas
    ? (['fuelTemperature'] as const)
    : (['gasPressure', 'barometricPressure', 'gasTemperature', 'meterCorrects'] as const)
  const problems: SheetProblem[] = others.flatMap((name) =>
    power[name] === undefined
      ? []
      : [
          {
            pointer: `${pointer}/${name}`,
            message: isGas ? 'Of a liquid fuel; for gas it is `gasTemperature`.' : 'Of natural gas only: leave it out.',
          },
        ],
  )
  if (power.gasPressure !== undefined && toSi(power.gasPressure, 'pressure') <= -101_325)
    problems.push({ pointer: `${pointer}/gasPressure`, message: 'Lower than no pressure at all.' })
  if (power.gasTemperature !== undefined && toSi(power.gasTemperature, 'temperature') <= -273.15)
    problems.push({ pointer: `${pointer}/gasTemperature`, message: 'Lower than absolute zero.' })
  return problems
}

/** A price belongs to what the plant buys: kilowatt-hours, or the unit of its fuel. */
function priceProblems({ economics, runs }: Sheet): SheetProblem[] {
  const unit = economics?.energyRate?.unit
  const power = runs.find((run) => run.power !== undefined)?.power
  if (unit === undefined || power === undefined) return []
  const of = unit.slice(unit.indexOf('/') + 1)
  const allowed =
    power.method !== 'fuel-volume' ? ['kWh'] : power.fuel === 'natural-gas' ? ['1000 ft3', 'm3'] : ['gal', 'L']
  if (allowed.includes(of)) return []
  return [
    {
      pointer: '/economics/energyRate/unit',
      message: `The price is for ${of}; this plant’s input was measured as ${power.method === 'fuel-volume' ? power.fuel : 'electricity'}.`,
      allowed: allowed.map((each) => `${unit.slice(0, 3)}/${each}`),
    },
  ]
}

function powerProblems(power: NonNullable<Run['power']>, pointer: string): SheetProblem[] {
  if (power.method === 'fuel-volume') return fuelProblems(power, pointer)
  const problems: SheetProblem[] = []
  if ((power.otherLoads === 'measured') !== (power.otherLoad !== undefined))
    problems.push({
      pointer: `${pointer}/otherLoad`,
      message: '`otherLoad` is given exactly where `otherLoads` says measured.',
    })
  if (power.method === 'meter-pulses' && power.energyPerPulse !== undefined && power.pulseConstant !== undefined)
    problems.push({
      pointer: `${pointer}/pulseConstant`,
      message: 'Energy per pulse and pulses per kilowatt-hour say the same: give one of them.',
      allowed: ['energyPerPulse', 'pulseConstant'],
    })
  if (power.method === 'volts-amps') problems.push(...linesProblems(power, pointer))
  return problems
}

/** Readings that belong to the other kind of plant. */
function kindProblems(sheet: Sheet): SheetProblem[] {
  const problems: SheetProblem[] = []
  const refuse = (given: unknown, pointer: string, message: string) => {
    if (given !== undefined) problems.push({ pointer, message })
  }
  const noLevels = 'A booster has no well: what is read on its suction side goes in `suction`.'
  if (sheet.kind === 'booster') {
    refuse(sheet.standingLevel, '/standingLevel', noLevels)
    refuse(
      sheet.dischargeCentreAboveDatum,
      '/dischargeCentreAboveDatum',
      'Heights of a booster are counted from the discharge centre itself.',
    )
  }
  sheet.runs.forEach((run, index) => {
    if (sheet.kind === 'booster') {
      refuse(run.pumpingLevel, `/runs/${index}/pumpingLevel`, noLevels)
      refuse(run.levelAfterStop, `/runs/${index}/levelAfterStop`, noLevels)
    } else
      refuse(run.suction, `/runs/${index}/suction`, 'A well has no suction side: its level goes in `pumpingLevel`.')
  })
  return problems
}

function purposeProblems({ purpose, notTestableBecause, runs }: Sheet): SheetProblem[] {
  const problems: SheetProblem[] = []
  if ((purpose === 'not-testable') !== (notTestableBecause !== undefined))
    problems.push({
      pointer: '/notTestableBecause',
      message: '`notTestableBecause` is given exactly where `purpose` is not-testable.',
      allowed: NOT_TESTABLE_REASONS,
    })
  if (runs.length === 0 && purpose !== 'not-testable')
    problems.push({
      pointer: '/runs',
      message: 'A test has at least one run; none only where `purpose` is not-testable.',
    })
  return problems
}

/** Problems of shape beyond the schema; empty for a sheet that can be evaluated. */
export function sheetProblems(sheet: Sheet): SheetProblem[] {
  const problems = [...purposeProblems(sheet), ...kindProblems(sheet), ...priceProblems(sheet)]
  const runs = sheet.runs.length
  const inRuns = runs === 0 ? 'none' : `0 to ${runs - 1}`
  if (sheet.normalRun !== undefined && sheet.normalRun >= runs)
    problems.push({ pointer: '/normalRun', message: `There is no run ${sheet.normalRun}.`, allowed: [inRuns] })
  sheet.leftOut?.forEach((left, i) => {
    if (left.run !== undefined && left.run >= runs)
      problems.push({ pointer: `/leftOut/${i}/run`, message: `There is no run ${left.run}.`, allowed: [inRuns] })
  })
  sheet.runs.forEach((run, index) => {
    const at = `/runs/${index}`
    for (const { readings, place } of flowsOfRun(run)) problems.push(...flowProblems(readings, `${at}/${place}`))
    if (run.power !== undefined) problems.push(...powerProblems(run.power, `${at}/power`))
    if (run.electrical !== undefined) problems.push(...linesProblems(run.electrical, `${at}/electrical`))
    if (run.dischargeOpen === true && run.dischargePressure !== undefined)
      problems.push({
        pointer: `${at}/dischargeOpen`,
        message: 'Either the discharge is open or its pressure was read.',
      })
  })
  return problems
}
