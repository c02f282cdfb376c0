/** What is on record of a plant: nameplates, depths, and the utility’s meter. */
import type { Context } from '@liftledger/calc'
import type { PlantTruth, UtilityMeter } from './plant-truth.ts'
import type { Random } from './random.ts'
import { dateOf, toStep } from './reading.ts'
import { FOOT, GPM, HORSEPOWER, INCH } from './units.ts'

type Equipment = NonNullable<Context['plant']['equipment']>

/** Constants and ratios as they are made: of a disk in Wh for a revolution. */
const DISK_CONSTANTS = [1.8, 3.6, 7.2, 14.4, 21.6, 28.8] as const
const RATIOS = [10, 20, 40, 60, 80, 120, 160] as const

export function drawUtilityMeter(random: Random, inputPower: number): UtilityMeter {
  const kind = random.weighted({ disk: 3, pulses: 3, display: 2 })
  const serial = `UM-${random.whole(100_000, 999_999)}`
  const multiplier = random.pick(RATIOS)
  if (kind === 'disk') {
    // The disk of a plant at work turns once in three to six seconds, or somewhat slower.
    const wanted = (inputPower * random.between(3, 6)) / 3600 / multiplier
    const constant = DISK_CONSTANTS.find((kh) => kh >= wanted) ?? DISK_CONSTANTS.at(-1)!
    return { kind, multiplier, constant, scale: 1 + random.within(0.01), serial }
  }
  const constant = kind === 'pulses' ? random.pick([0.5, 1, 2.5, 5]) : 0
  return { kind, multiplier, constant, scale: 1 + random.within(0.005), serial }
}

/** The equipment as a firm registers it. */
export function equipmentOf(
  random: Random,
  truth: PlantTruth,
  kind: 'well' | 'booster',
  design: { readonly drawdown: number; readonly flow: number },
): Omit<Equipment, 'revision'> {
  const { motor, utilityMeter } = truth
  const ofNameplate = 1 / (1 + motor.fixedLoss + motor.loadLoss)
  const deepest = (truth.standingDepth + design.drawdown) / FOOT
  const bowls = Math.ceil(deepest + random.between(50, 110))
  return {
    effectiveFrom: dateOf(truth.firstDay - random.whole(400, 3000)),
    driver: 'electric-motor',
    ratedPower: { value: Math.round(motor.ratedPower / HORSEPOWER), unit: 'hp' },
    serviceFactor: 1.15,
    ratedVoltage: { value: 460, unit: 'V' },
    motorEfficiency: toStep(ofNameplate, 0.001),
    coupling: 'direct',
    drive: 'none',
    ...(kind === 'well' && {
      stages: random.whole(2, 9),
      bowlDepth: { value: bowls, unit: 'ft' },
      wellDepth: { value: bowls + random.whole(20, 160), unit: 'ft' },
    }),
    dischargeInsideDiameter: { value: toStep(truth.pipeDiameter / INCH, 0.01), unit: 'in' },
    ...(utilityMeter.kind === 'disk' && { meterConstant: { value: utilityMeter.constant, unit: 'Wh/rev' } }),
    ...(utilityMeter.kind === 'pulses' && { meterEnergyPerPulse: { value: utilityMeter.constant, unit: 'Wh/pulse' } }),
    meterSerial: utilityMeter.serial,
    meterMultiplier: utilityMeter.multiplier,
    highestFlow: { value: Math.round((design.flow * 1.05) / GPM), unit: 'gpm' },
  }
}
