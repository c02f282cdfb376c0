/** Collects the facts of a run that the methods have not collected while measuring. */

import { STANDARD_GRAVITY } from '../constants.ts'
import type { Advice, HandCheck, Result } from '../evaluation.ts'
import { flowsOfRun, instrumentNamed, testedFlows, wasRead } from '../flow/flow-of-run.ts'
import type { SingleFlow } from '../flow/list.ts'
import { secondsOf } from '../instants.ts'
import { mainReading } from '../level/depths.ts'
import type { Measured } from '../measure.ts'
import type { PowerReadings } from '../power/list.ts'
import type { PreferredUnits } from '../preferred-units.ts'
import { spreadOf } from '../repeats.ts'
import type { Run, Sheet } from '../sheet.ts'
import { toSi } from '../units.ts'
import { farthestByAffinity } from './affinity.ts'
import { collectContext, collectRecords } from './collect-context.ts'
import { collectDoubts } from './collect-doubts.ts'
import { collectLevels } from './collect-levels.ts'
import { collectEqualRepeats, collectRoundness, collectTimePattern } from './collect-patterns.ts'
import { curveConflict, drawdownConflict } from './compare-runs.ts'
import { type Facts, noFacts } from './facts.ts'
import { sayIn } from './say.ts'

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
      case 'suction-head':
        facts.suctionHead = value
        break
      case 'panel-power':
        facts.panelPower = value
        facts.panelPowerU = standardUncertainty
        break
      case 'motor-load':
        facts.motorLoad = value
        break
      case 'flow':
        facts.flow = value
        facts.flowU = standardUncertainty
        break
      case 'flow-difference':
        facts.comparisonDifference = value
        facts.comparisonDifferenceU = standardUncertainty
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
        facts.inputPowerU = standardUncertainty
        break
      case 'water-power':
        facts.waterPower = value
        break
      case 'npsh-available':
        facts.npshAvailable = value
        facts.npshAvailableU = standardUncertainty
        break
      case 'pump-efficiency':
        facts.pumpEfficiency = value
        facts.pumpEfficiencyU = standardUncertainty
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

function collectTimes(run: Run, testedOn: string, facts: Facts): void {
  if (run.pumpStartedAt !== undefined) facts.pumpStartedAt = secondsOf(run.pumpStartedAt)
  if (run.pumpStoppedAt !== undefined) facts.pumpStoppedAt = secondsOf(run.pumpStoppedAt)
  if (run.startedAt !== undefined) facts.runStartedAt = secondsOf(run.startedAt)
  if (run.endedAt !== undefined) facts.runEndedAt = secondsOf(run.endedAt)
  const moments = new Set<number>()
  let onTheDay = false
  let otherDay: string | undefined
  const note = (at: string | undefined) => {
    if (at === undefined) return
    if (at.startsWith(testedOn)) onTheDay = true
    else otherDay ??= at.slice(0, 10)
    const seconds = secondsOf(at)
    moments.add(seconds)
    if (facts.firstReadAt === undefined || seconds < facts.firstReadAt) facts.firstReadAt = seconds
    if (facts.lastReadAt === undefined || seconds > facts.lastReadAt) facts.lastReadAt = seconds
  }
  if (run.pumpingLevel !== undefined) note(mainReading(run.pumpingLevel).reading.at)
  note(run.dischargePressure?.reading.at)
  note(run.waterTemperature?.at)
  if (run.suction?.method === 'gauge') note(run.suction.reading.at)
  if (run.power !== undefined) notePower(run.power, note)
  for (const { readings } of flowsOfRun(run)) noteFlow(readings, note)
  // A visit may go past midnight; none of its readings on its own day is another matter.
  if (!onTheDay) facts.readOnOtherDay = otherDay
  collectTimePattern(moments, facts)
}

function notePower(power: PowerReadings, note: (at: string | undefined) => void): void {
  if ('timings' in power) for (const { at } of power.timings) note(at)
  else if ('readings' in power) for (const { at } of power.readings) note(at)
  else if (power.method === 'volts-amps') for (const { at } of power.voltages ?? []) note(at)
  else if (power.method === 'meter-register') for (const { at } of [power.start, power.end]) note(at)
  else if (power.method === 'two-wattmeters') for (const { at } of [power.first, power.second]) note(at)
  else note(power.method === 'meter-demand' ? power.demand.at : power.volume.at)
}

function noteFlow(flow: SingleFlow, note: (at: string | undefined) => void): void {
  if ('rates' in flow) for (const { at } of flow.rates) note(at)
  else if ('velocities' in flow) for (const { at } of flow.velocities) note(at)
  else if (flow.method === 'meter-totaliser') {
    note(flow.start.at)
    note(flow.end.at)
  }
}

/** Instrument of the flow: named only if every flow that makes it up names one. */
function instrumentOfFlow(run: Run, forUse: string | undefined): string | undefined {
  const named = testedFlows(run).map(({ readings }) => instrumentNamed(readings) ?? forUse)
  return named.includes(undefined) ? undefined : named[0]
}

function powerWasRead({ power }: Run): boolean {
  if (power === undefined) return false
  if ('timings' in power) return power.timings.length > 0
  if ('readings' in power) return power.readings.length > 0
  // The other methods require what they read.
  return power.method !== 'volts-amps' || (power.voltages ?? []).length > 0 || (power.currents ?? []).length > 0
}

function collectSpeed({ speeds, electrical }: Run, facts: Facts): void {
  const spreads = [spreadOf(speeds ?? [], 'speed'), spreadOf(electrical?.frequencies ?? [], 'frequency')]
  for (const spread of spreads) if (spread !== undefined) facts.speedSpread = Math.max(facts.speedSpread ?? 0, spread)
  if (speeds === undefined || speeds.length === 0) return
  let sum = 0
  for (const speed of speeds) sum += toSi(speed, 'speed')
  facts.speed = sum / speeds.length
}

function collectEconomics({ economics }: Sheet, facts: Facts): void {
  facts.energyRateGiven = economics?.energyRate !== undefined
  if (economics === undefined) return
  const { energyRate, annualVolume, annualEnergy, annualHours } = economics
  if (energyRate?.unit === 'USD/kWh') facts.usdPerKwh = energyRate.value
  if (annualVolume) facts.annualVolume = toSi(annualVolume, 'volume')
  if (annualEnergy) facts.annualEnergy = toSi(annualEnergy, 'energy')
  if (annualHours) facts.annualHours = toSi(annualHours, 'time')
}

function collectPurpose(sheet: Sheet, facts: Facts): void {
  facts.purpose = sheet.purpose ?? 'full'
  facts.notTestableBecause = sheet.notTestableBecause
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
  collectLevels(run, visit, visit.graph.values[visit.waters[index]!.density]!, facts)
  collectTimes(run, sheet.testedOn, facts)
  collectContext(visit, run, facts)
  collectEqualRepeats(run, facts)

  collectSpeed(run, facts)
  collectEconomics(sheet, facts)
  collectPurpose(sheet, facts)
  facts.runDescribed = run.condition !== undefined
  facts.flowRead = testedFlows(run).some(({ readings }) => wasRead(readings))
  facts.powerRead = powerWasRead(run)
  if (run.waterTemperature !== undefined) facts.waterTemperature = toSi(run.waterTemperature, 'temperature')
  const { instruments } = sheet
  facts.levelInstrument = (run.pumpingLevel && mainReading(run.pumpingLevel).reading.instrument) ?? instruments?.level
  facts.pressureInstrument = run.dischargePressure?.reading.instrument ?? instruments?.pressure
  facts.flowInstrument = instrumentOfFlow(run, instruments?.flow)
  facts.beyondThrottledValve = run.dischargePressure?.beyondThrottledValve
  facts.airSeen = run.seenInDischarge?.includes('air')
  facts.sandSeen = run.seenInDischarge?.includes('sand')
  if (run.suction?.method === 'gauge')
    facts.suctionInstrument = run.suction.reading.instrument ?? instruments?.suctionPressure
  if (run.power?.method === 'volts-amps') facts.clampInstrument = run.power.instrument ?? instruments?.power
  const { parts } = runs[index]!
  const pipes = parts.filter(({ role }) => role === 'tested')
  testedFlows(run).forEach(({ readings }, i) => {
    // Where none was read the run as a whole says so.
    if (pipes[i] !== undefined) pipes[i].facts.flowRead = wasRead(readings) || facts.flowRead !== true
  })
  for (const { role, facts: ofPart } of parts) if (role !== 'tested') ofPart.flowRead = true
  collectDoubts(
    visit,
    run,
    facts,
    pipes.map((pipe) => pipe.facts),
  )

  const density = visit.graph.values[runs[index]!.quantities.get('water-density')!]!
  if (facts.totalDynamicHead !== undefined)
    facts.leastEnergyPerVolume = density * STANDARD_GRAVITY * facts.totalDynamicHead
  if (check !== undefined && facts.overallPlantEfficiency !== undefined) {
    facts.handCheckDifference = Math.abs(check.atExactHead / facts.overallPlantEfficiency - 1)
    facts.largestShare = advice[0]?.shareOfVariance
  }
}

/** Facts of the visit as a whole: those of its normal run, and what only several runs together show. */
export function collectVisit({ visit, runs }: Measured, units: PreferredUnits): Facts {
  const { sheet, edition } = visit
  const normal = runs[sheet.normalRun ?? 0] ?? runs[0]
  const facts: Facts = normal === undefined ? noFacts() : normal.facts
  if (normal === undefined) {
    collectPurpose(sheet, facts)
    collectEconomics(sheet, facts)
    collectRecords(visit, facts)
  }
  collectRoundness(sheet, facts)
  if (runs.length >= 2) {
    const { curveTolerance, maxSpeedSpread, flowRatioOfRuns } = edition.limits
    const ofRuns = runs.map((run) => run.facts)
    const say = sayIn(units)
    facts.curveConflict = curveConflict(ofRuns, curveTolerance.si, maxSpeedSpread.si, say)
    facts.drawdownConflict = drawdownConflict(ofRuns, flowRatioOfRuns.si, say)
    const farthest = farthestByAffinity(ofRuns, maxSpeedSpread.si)
    facts.affinityRun = farthest && farthest.run + 1
    facts.affinityResidual = farthest?.residual
    facts.affinitySpeedRatio = farthest?.speedRatio
  }
  return facts
}
