/** Collects the facts that the records of the context give. */
import type { Equipment } from '../context.ts'
import { dayNumber } from '../instants.ts'
import type { Run } from '../sheet.ts'
import { toSi } from '../units.ts'
import type { Visit } from '../visit.ts'
import type { Facts } from './facts.ts'

/** Constant, multiplier and serial number of the utility meter; the constant of the kind that was timed. */
function collectMeter(equipment: Equipment, facts: Facts): void {
  const { meterConstant, meterEnergyPerPulse, meterPulseConstant } = equipment
  if (facts.diskMeter) {
    if (meterConstant) facts.recordMeterConstant = toSi(meterConstant, 'energy-per-revolution')
  } else if (meterEnergyPerPulse) facts.recordMeterConstant = toSi(meterEnergyPerPulse, 'energy-per-pulse')
  else if (meterPulseConstant) facts.recordMeterConstant = 1 / toSi(meterPulseConstant, 'pulses-per-energy')
  facts.recordMeterMultiplier = equipment.meterMultiplier
  facts.recordMeterSerial = equipment.meterSerial
}

/** Nameplate of the motor; behind a drive its service factor is used up. */
function collectMotor(equipment: Equipment, visit: Visit, facts: Facts): void {
  if (equipment.ratedPower) facts.ratedPower = toSi(equipment.ratedPower, 'power')
  facts.hasDrive = equipment.drive === 'variable-frequency'
  const notStated = facts.hasDrive ? 1 : visit.edition.settings.serviceFactorNotStated
  facts.serviceFactor = equipment.serviceFactor ?? notStated
  if (facts.motorLoad !== undefined && facts.ratedPower !== undefined)
    facts.motorShaftPower = facts.motorLoad * facts.ratedPower
  if (equipment.ratedVoltage) facts.ratedVoltage = toSi(equipment.ratedVoltage, 'voltage')
  if (equipment.synchronousSpeed) facts.synchronousSpeed = toSi(equipment.synchronousSpeed, 'speed')
  facts.directDrive = equipment.coupling === 'direct'
}

/** What the records say of a run: its plant, meter, motor, instruments and tester. */
export function collectContext(visit: Visit, run: Run, facts: Facts): void {
  collectRecords(visit, facts)
  if (run.power !== undefined || run.electrical !== undefined) facts.electric = run.power?.method !== 'fuel-volume'
}

/** What the records say whatever was run. */
export function collectRecords(visit: Visit, facts: Facts): void {
  const { context, sheet } = visit
  const equipment = context.plant.equipment
  facts.plantKind = sheet.kind
  facts.recordPlantKind = context.plant.kind
  if (sheet.dischargeCentreAboveDatum !== undefined)
    facts.dischargeCentreHeight = toSi(sheet.dischargeCentreAboveDatum, 'length')
  facts.electric = equipment?.driver === undefined ? undefined : equipment.driver === 'electric-motor'
  if (equipment !== undefined) {
    if (equipment.npshRequired) facts.npshRequired = toSi(equipment.npshRequired, 'length')
    if (equipment.bowlDepth) facts.bowlDepth = toSi(equipment.bowlDepth, 'length')
    if (equipment.wellDepth) facts.wellDepth = toSi(equipment.wellDepth, 'length')
    if (equipment.highestFlow) facts.recordFlowMax = toSi(equipment.highestFlow, 'flow')
    if (equipment.dischargeInsideDiameter) facts.recordPipeDiameter = toSi(equipment.dischargeInsideDiameter, 'length')
    collectMeter(equipment, facts)
    collectMotor(equipment, visit, facts)
  }
  collectIdentity(visit, facts)
}

/** Certificates and qualifications on the day of the test. */
function collectIdentity({ context, sheet }: Visit, facts: Facts): void {
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
