/** From the truth of a visit to the sheet that an honest tester would hand in. */
import type { Context, Sheet } from '@liftledger/calc'
import type { SimulatedTester } from './basin.ts'
import { type FlowMethod, writeFlow } from './flow-readings.ts'
import { gaugeFor, writeGauge, writeHeight, writePumping, writeStanding, writeSuction } from './head-readings.ts'
import type { OperatingPoint } from './hydraulics.ts'
import { type Carried, recordsOf } from './kit.ts'
import type { SimulatedPlant } from './plant.ts'
import { methodOfMeter, type PowerMethod, writePower } from './power-readings.ts'
import type { Random } from './random.ts'
import { type Clock, clockOf, DAYS_OF_YEAR, toStep, written } from './reading.ts'
import { ACRE_FOOT, fahrenheit, GRAVITY } from './units.ts'

export interface Scene {
  readonly plant: SimulatedPlant
  readonly tester: SimulatedTester
  readonly day: number
  readonly testedOn: string
  readonly point: OperatingPoint
  readonly standing: number
  readonly density: number
}

/** Minutes after midnight at which a visit does what it does. */
interface Timetable {
  readonly standing: number
  readonly started: number
  readonly level: readonly number[]
  readonly pressure: number
  readonly power: number
  readonly ended: number
}

function timetableOf(random: Random): Timetable {
  const started = random.whole(7 * 60, 13 * 60)
  return {
    standing: started - random.whole(6, 20),
    started,
    level: [started + 8, started + 18, started + 28, started + 38, started + 44],
    pressure: started + 41,
    power: started + 30,
    ended: started + 50,
  }
}

/** Mostly by the tester’s own instrument, now and then by the meter of the plant. */
function flowMethodOf(random: Random, tester: SimulatedTester): FlowMethod {
  const use = random.weighted({ own: 7, 'meter-rate': 1.3, 'meter-totaliser': 1.7 })
  if (use !== 'own') return use
  if (tester.habit === 'pitot') return 'pitot-traverse'
  if (tester.habit === 'insertion') return 'insertion-velocity'
  return random.happens(0.75) ? 'ultrasonic-rate' : 'ultrasonic-velocity'
}

function instrumentsOf(
  sheet: Pick<Sheet, 'kind'>,
  flow: FlowMethod,
  power: PowerMethod,
  { kit }: SimulatedTester,
  gauge: string,
  suction: boolean,
) {
  const ofFlow: Partial<Record<FlowMethod, string>> = {
    'pitot-traverse': kit.pitot.record.code,
    'ultrasonic-rate': kit.clampOn.record.code,
    'ultrasonic-velocity': kit.clampOn.record.code,
    'insertion-velocity': kit.insertion.record.code,
  }
  const forFlow = ofFlow[flow]
  return {
    ...(sheet.kind === 'well' && { level: kit.sounder.record.code }),
    pressure: gauge,
    ...(suction && { suctionPressure: kit.vacuumGauge.record.code }),
    ...(forFlow !== undefined && { flow: forFlow }),
    ...(power === 'volts-amps' && { power: kit.clamp.record.code }),
    time: kit.watch.record.code,
    temperature: kit.thermometer.record.code,
  }
}

/** What the grower’s bills say: near the truth, of another year than the visit. */
function writeEconomics(random: Random, { plant, point }: Scene): NonNullable<Sheet['economics']> {
  const seconds = plant.truth.shareOfYear * DAYS_OF_YEAR * 86_400 * (1 + random.normal(0.05))
  const kilowattHours = (point.inputPower * seconds * (1 + random.normal(0.04))) / 3.6e6
  return {
    energyRate: { value: toStep(plant.truth.energyRate, 0.001), unit: 'USD/kWh' },
    annualVolume: { value: toStep((point.flow * seconds) / ACRE_FOOT, 1), unit: 'acre-ft' },
    annualEnergy: { value: Math.round(kilowattHours / 100) * 100, unit: 'kWh' },
  }
}

interface Plan {
  readonly clock: Clock
  readonly times: Timetable
  readonly gauge: Carried
  readonly flowMethod: FlowMethod
  readonly powerMethod: PowerMethod
}

/** Everything read while the plant runs. */
function writeRun(random: Random, scene: Scene, plan: Plan): Sheet['runs'][number] {
  const { plant, tester, point, standing, density } = scene
  const { kit } = tester
  const { truth } = plant
  const { clock, times, gauge, flowMethod, powerMethod } = plan
  const weight = density * GRAVITY
  const yearsSinceStart = (scene.day - truth.firstDay) / DAYS_OF_YEAR
  const { drawdown, dischargePressure, suctionHead } = point
  return {
    condition: { duty: 'usual', valve: 'fully-open' },
    pumpStartedAt: clock(times.started),
    startedAt: clock(times.started + 22),
    endedAt: clock(times.ended),
    waterTemperature: written(fahrenheit(truth.waterTemperature + kit.thermometer.offset), 'degF', 1),
    ...(plant.kind === 'well'
      ? { pumpingLevel: writePumping(random, kit.sounder, standing + drawdown, drawdown, clock, times.level) }
      : {
          suction: writeSuction(random, {
            suctionHead,
            suctionDiameter: truth.suctionDiameter,
            weight,
            kit,
            yearsSinceStart,
          }),
        }),
    dischargePressure: writeGauge(random, gauge, dischargePressure, yearsSinceStart, weight),
    flow: writeFlow(random, flowMethod, {
      flow: point.flow,
      pressure: dischargePressure,
      density,
      diameter: truth.pipeDiameter,
      kit,
      plantMeter: truth.flowMeter,
      meterSerial: `FM-${plant.code}`,
    }),
    power: writePower(random, powerMethod, {
      power: point.inputPower,
      motorLoad: point.motorLoad,
      meter: truth.utilityMeter,
      clamp: kit.clamp,
      clock,
      at: times.power,
    }),
  }
}

export interface WrittenVisit {
  readonly sheet: Sheet
  readonly flowMethod: FlowMethod
  readonly powerMethod: PowerMethod
}

/** Writes the sheet of one visit. */
export function writeSheet(random: Random, scene: Scene): WrittenVisit {
  const { plant, tester, testedOn, point, standing } = scene
  const { truth } = plant
  const clock = clockOf(testedOn)
  const times = timetableOf(random)
  const flowMethod = flowMethodOf(random, tester)
  const powerMethod = random.happens(0.12) ? 'volts-amps' : methodOfMeter(truth.utilityMeter)
  const gauge = gaugeFor(tester.kit, point.dischargePressure)
  const run = writeRun(random, scene, { clock, times, gauge, flowMethod, powerMethod })
  const sheet: Sheet = {
    plant: plant.code,
    kind: plant.kind,
    testedOn,
    tester: tester.code,
    instruments: instrumentsOf(
      plant,
      flowMethod,
      powerMethod,
      tester,
      gauge.record.code,
      truth.suctionDiameter !== undefined,
    ),
    ...(plant.kind === 'well' && {
      pumpStoppedBefore: { restTime: { value: random.whole(8, 40), unit: 'h' } },
      standingLevel: writeStanding(random, tester.kit.sounder, standing, clock, times.standing),
      dischargeCentreAboveDatum: writeHeight(random, truth.dischargeCentreAboveDatum),
    }),
    runs: [run],
    economics: writeEconomics(random, scene),
  }
  return { sheet, flowMethod, powerMethod }
}

/** The records as a registry would hand them out on the day. */
export function contextOf(sheet: Sheet, plant: SimulatedPlant, tester: SimulatedTester): Context {
  const named = new Set(Object.values(sheet.instruments ?? {}))
  return {
    plant: {
      code: plant.code,
      kind: plant.kind,
      region: plant.region,
      equipment: { revision: 1, ...plant.equipment },
    },
    tester: { code: tester.code, qualifications: tester.qualifications },
    instruments: recordsOf(tester.kit).filter(({ code }) => named.has(code)),
  }
}
