/** Collects the facts of a run that the methods have not collected while measuring. */

import { STANDARD_GRAVITY } from '../constants.ts'
import type { Advice, HandCheck, Result } from '../evaluation.ts'
import { dayNumber, secondsOf } from '../instants.ts'
import type { Measured } from '../measure.ts'
import type { Run, Sheet } from '../sheet.ts'
import { toSi } from '../units.ts'
import type { Visit } from '../visit.ts'
import type { Facts } from './facts.ts'

const TEN_MINUTES = 600

function collectResults(results: readonly Result[], facts: Facts): void {
  for (const { quantity, value, standardUncertainty, degreesOfFreedom } of results) {
    switch (quantity) {
      case 'standing-water-level':
        facts.standingLevel = value
        break
      case 'pumping-water-level':
        facts.pumpingLevel = value
        facts.pumpingLevelU = standardUncertainty
        break
      case 'drawdown':
        facts.drawdown = value
        facts.drawdownU = standardUncertainty
        break
      case 'lift':
        facts.lift = value
        break
      case 'flow':
        facts.flow = value
        break
      case 'gauge-head':
        facts.dischargePressureHeadU = standardUncertainty
        break
      case 'field-head':
        facts.fieldHead = value
        break
      case 'velocity-head':
        facts.velocityHead = value
        break
      case 'total-dynamic-head':
        facts.totalDynamicHead = value
        break
      case 'input-power':
        facts.inputPower = value
        break
      case 'timing-spread':
        facts.timingSpread = value
        break
      case 'energy-per-volume':
        facts.energyPerVolume = value
        break
      case 'overall-plant-efficiency':
        facts.overallPlantEfficiency = value
        facts.overallPlantEfficiencyU = standardUncertainty
        if (degreesOfFreedom !== undefined) facts.efficiencyDegreesOfFreedom = degreesOfFreedom
        break
      default:
    }
  }
}

/** True if the standing level was read after the last stop of the pump on this visit: the well had come back. */
function readByRecovery(sheet: Sheet, standingLevelAt: number): boolean {
  let stopped: number | undefined
  for (const { pumpStoppedAt } of sheet.runs)
    if (pumpStoppedAt !== undefined) stopped = Math.max(stopped ?? 0, secondsOf(pumpStoppedAt))
  return stopped !== undefined && standingLevelAt > stopped
}

function collectLevels(run: Run, sheet: Sheet, facts: Facts): void {
  const standing = sheet.standingLevel
  const pumping = run.pumpingLevel
  if (standing !== undefined) {
    if (standing.reading.at !== undefined) {
      facts.standingLevelAt = secondsOf(standing.reading.at)
      facts.standingByRecovery = readByRecovery(sheet, facts.standingLevelAt)
    }
    facts.standingMark = standing.mark
    if (standing.repeats !== undefined && standing.repeats.length >= 2) {
      let lowest = Number.POSITIVE_INFINITY
      let highest = Number.NEGATIVE_INFINITY
      for (const repeat of standing.repeats) {
        const depth = toSi(repeat, 'length')
        lowest = Math.min(lowest, depth)
        highest = Math.max(highest, depth)
      }
      facts.standingRepeatSpread = highest - lowest
    }
  }
  if (standing !== undefined && standing.repeats !== undefined && standing.repeats.length > 0) {
    const level = toSi(standing.reading, 'length')
    facts.readingOffRepeats = Math.min(...standing.repeats.map((repeat) => Math.abs(toSi(repeat, 'length') - level)))
  }
  if (sheet.pumpStoppedBefore !== undefined) facts.restTime = toSi(sheet.pumpStoppedBefore.restTime, 'time')
  if (pumping === undefined) return
  facts.pumpingMark = pumping.mark
  if (standing !== undefined)
    facts.markOffsetKnown =
      standing.measuringPointAboveDatum !== undefined && pumping.measuringPointAboveDatum !== undefined
  const series = pumping.series ?? []
  facts.levelReadingCount = series.length === 0 ? 1 : series.length
  if (pumping.reading.at !== undefined && run.pumpStartedAt !== undefined)
    facts.settleTime = secondsOf(pumping.reading.at) - secondsOf(run.pumpStartedAt)
  const last = series.at(-1)
  if (last !== undefined) facts.readingOffSeries = Math.abs(toSi(pumping.reading, 'length') - toSi(last, 'length'))
  if (last?.at === undefined) return
  const lastAt = secondsOf(last.at)
  // The earliest level not older than ten minutes before the last one.
  const earliest = series.find(({ at }) => at !== undefined && secondsOf(at) >= lastAt - TEN_MINUTES)
  if (earliest !== undefined && earliest !== last)
    facts.levelChangeLastTen = toSi(last, 'length') - toSi(earliest, 'length')
}

function collectTimes(run: Run, testedOn: string, facts: Facts): void {
  if (run.pumpStartedAt !== undefined) facts.pumpStartedAt = secondsOf(run.pumpStartedAt)
  if (run.pumpStoppedAt !== undefined) facts.pumpStoppedAt = secondsOf(run.pumpStoppedAt)
  if (run.startedAt !== undefined) facts.runStartedAt = secondsOf(run.startedAt)
  if (run.endedAt !== undefined) facts.runEndedAt = secondsOf(run.endedAt)
  let onTheDay = false
  let otherDay: string | undefined
  const note = (at: string | undefined) => {
    if (at === undefined) return
    if (at.startsWith(testedOn)) onTheDay = true
    else otherDay ??= at.slice(0, 10)
    const seconds = secondsOf(at)
    if (facts.firstReadAt === undefined || seconds < facts.firstReadAt) facts.firstReadAt = seconds
    if (facts.lastReadAt === undefined || seconds > facts.lastReadAt) facts.lastReadAt = seconds
  }
  note(run.pumpingLevel?.reading.at)
  note(run.dischargePressure?.reading.at)
  note(run.waterTemperature?.at)
  if (run.power !== undefined) for (const { at } of run.power.timings) note(at)
  // A visit may go past midnight; none of its readings on its own day is another matter.
  if (!onTheDay) facts.readOnOtherDay = otherDay
}

function collectContext(visit: Visit, run: Run, facts: Facts): void {
  const { context, sheet } = visit
  const equipment = context.plant.equipment
  facts.plantKind = sheet.kind
  facts.recordPlantKind = context.plant.kind
  if (sheet.dischargeCentreAboveDatum !== undefined)
    facts.dischargeCentreHeight = toSi(sheet.dischargeCentreAboveDatum, 'length')
  facts.electric = equipment?.driver === undefined ? undefined : equipment.driver === 'electric-motor'
  if (run.power !== undefined) facts.electric = true
  if (equipment !== undefined) {
    if (equipment.bowlDepth) facts.bowlDepth = toSi(equipment.bowlDepth, 'length')
    if (equipment.wellDepth) facts.wellDepth = toSi(equipment.wellDepth, 'length')
    if (equipment.highestFlow) facts.recordFlowMax = toSi(equipment.highestFlow, 'flow')
    if (equipment.dischargeInsideDiameter) facts.recordPipeDiameter = toSi(equipment.dischargeInsideDiameter, 'length')
    if (equipment.meterConstant) facts.recordMeterConstant = toSi(equipment.meterConstant, 'energy-per-revolution')
    facts.recordMeterMultiplier = equipment.meterMultiplier
    if (equipment.ratedPower) facts.ratedPower = toSi(equipment.ratedPower, 'power')
    facts.serviceFactor = equipment.serviceFactor ?? visit.edition.settings.serviceFactorNotStated
    if (equipment.motorEfficiency !== undefined && facts.inputPower !== undefined)
      facts.motorShaftPower = facts.inputPower * equipment.motorEfficiency
  }
  const testedOn = dayNumber(sheet.testedOn)
  facts.testedOnDay = testedOn
  facts.testedOn = sheet.testedOn
  for (const { code, certificate } of context.instruments) {
    if (certificate === undefined) continue
    const ends = dayNumber(certificate.validUntil)
    if (facts.earliestCalibrationEnd === undefined || ends < facts.earliestCalibrationEnd)
      facts.earliestCalibrationEnd = ends
    if (ends < testedOn && facts.lapsedInstrument === undefined) facts.lapsedInstrument = code
  }
  const { qualifications } = context.tester
  facts.qualifiedOnDay = qualifications.some(
    ({ validFrom, validUntil }) => dayNumber(validFrom) <= testedOn && testedOn <= dayNumber(validUntil),
  )
  let latest: string | undefined
  for (const { validUntil } of qualifications) if (latest === undefined || validUntil > latest) latest = validUntil
  facts.qualifiedUntil = latest
}

/** Fills in the facts of a run once its results are known. */
export function collectFacts(
  measured: Measured,
  index: number,
  results: readonly Result[],
  check: HandCheck | undefined,
  advice: readonly Advice[],
  facts: Facts,
): void {
  const { visit, runs } = measured
  const { sheet } = visit
  const run = sheet.runs[index]!
  collectResults(results, facts)
  collectLevels(run, sheet, facts)
  collectTimes(run, sheet.testedOn, facts)
  collectContext(visit, run, facts)

  facts.runDescribed = run.condition !== undefined
  facts.flowRead = run.flow !== undefined && run.flow.diameters.length > 0
  facts.powerRead = run.power !== undefined && run.power.timings.length > 0
  if (run.waterTemperature !== undefined) facts.waterTemperature = toSi(run.waterTemperature, 'temperature')
  const { instruments } = sheet
  facts.levelInstrument = run.pumpingLevel?.reading.instrument ?? instruments?.level
  facts.pressureInstrument = run.dischargePressure?.reading.instrument ?? instruments?.pressure
  facts.flowInstrument = run.flow?.tube.instrument ?? instruments?.flow

  const density = visit.graph.values[runs[index]!.quantities.get('water-density')!]!
  if (facts.totalDynamicHead !== undefined)
    facts.leastEnergyPerVolume = density * STANDARD_GRAVITY * facts.totalDynamicHead
  if (check !== undefined && facts.overallPlantEfficiency !== undefined) {
    facts.handCheckDifference = Math.abs(check.atExactHead / facts.overallPlantEfficiency - 1)
    facts.largestShare = advice[0]?.shareOfVariance
  }
}
