/** One invented plant: what stands there, how it wears, and when it was repaired. */
import type { Context } from '@liftledger/calc'
import { type Duty, inputOfMotor, type Motor, type OperatingPoint, operate, type Pump } from './hydraulics.ts'
import { drawUtilityMeter, equipmentOf } from './plant-record.ts'
import type { PlantTruth } from './plant-truth.ts'
import type { Random } from './random.ts'
import { DAYS_OF_YEAR, dateOf } from './reading.ts'
import { type Region, standingDepth } from './region.ts'
import { densityOfWater, FOOT, GPM, GRAVITY, HORSEPOWER, INCH, PSI } from './units.ts'

type Equipment = NonNullable<Context['plant']['equipment']>

export interface SimulatedPlant {
  readonly code: string
  readonly kind: 'well' | 'booster'
  readonly region: string
  /** Number of the customer in the firms’ books; stands for a person, so that none is named. */
  readonly customer: string
  /** Codes of the firms that have access; the first registered it. */
  readonly firms: readonly string[]
  readonly equipment: Omit<Equipment, 'revision'>
  /** Dates of its repairs in the years simulated. */
  readonly repairs: readonly string[]
  readonly truth: PlantTruth
}

const RATED_HP = [10, 15, 20, 25, 30, 40, 50, 60, 75, 100, 125, 150, 200, 250, 300, 350, 400, 450, 500] as const
const PIPE_INCHES = [4.03, 6.07, 7.98, 10.02, 12, 13.25, 15.25, 17.25] as const

/** The nearest size above what is needed. */
const sizeUp = (sizes: readonly number[], needed: number): number =>
  sizes.find((size) => size >= needed) ?? sizes.at(-1)!

function drawMotor(random: Random, shaftPower: number): Motor {
  const ratedPower = sizeUp(RATED_HP, (shaftPower * 1.12) / HORSEPOWER) * HORSEPOWER
  // Small motors lose more of their power: about an eighth at 10 hp, a twentieth at 500 hp.
  const losses = (0.05 + 0.09 / Math.sqrt(ratedPower / HORSEPOWER / 3)) * random.between(0.9, 1.1)
  return { ratedPower, fixedLoss: 0.42 * losses, loadLoss: 0.58 * losses }
}

const pipeFor = (flow: number, velocity: number): number =>
  sizeUp(PIPE_INCHES, Math.sqrt((4 * flow) / (Math.PI * velocity)) / INCH) * INCH

/** Wear of a plant on a day. */
export function wearOn({ truth }: { readonly truth: PlantTruth }, day: number): number {
  let [since, wear] = [truth.firstDay, truth.wearAtStart]
  for (const repair of truth.repaired) if (repair.day <= day) [since, wear] = [repair.day, repair.wearLeft]
  // Wear tails off: a worn pump that moves less water wears more slowly.
  const more = (truth.wearPerYear * (day - since)) / DAYS_OF_YEAR
  return Math.min(0.42, wear + more * Math.max(0.2, 1 - wear / 0.5))
}

/** Repairs of the years: the more worn the sooner, as a grower decides at the end of a season. */
function drawRepairs(random: Random, truth: Omit<PlantTruth, 'repaired'>, years: number): PlantTruth['repaired'] {
  const repaired: { day: number; wearLeft: number }[] = []
  for (let year = 0; year < years; year++) {
    const day = truth.firstDay + Math.round(year * DAYS_OF_YEAR) + random.whole(100, 250)
    const wear = wearOn({ truth: { ...truth, repaired } }, day)
    if (random.happens(wear > 0.3 ? 0.5 : wear > 0.2 ? 0.2 : 0.01)) {
      const wearLeft = random.between(0, 0.06)
      repaired.push({ day, wearLeft })
    }
  }
  return repaired
}

/** Where and for whom a plant stands. */
export interface PlantPlace {
  readonly code: string
  readonly region: Region
  readonly customer: string
  readonly firms: readonly string[]
  readonly firstDay: number
  readonly years: number
}

/** What the plant was designed for, drawn first: the machines follow from it. */
function drawDesign(random: Random, kind: 'well' | 'booster', place: PlantPlace) {
  const flow = random.lognormal(800, 0.45) * GPM
  const clamped = Math.min(2600 * GPM, Math.max(220 * GPM, flow))
  const pressure = (kind === 'well' ? random.between(8, 60) : random.between(35, 85)) * PSI
  const waterTemperature = kind === 'well' ? random.between(15, 22) : random.between(9, 24)
  const fromPipe = kind === 'booster' && random.happens(0.5)
  const standing =
    kind === 'well'
      ? place.region.standingDepth * random.between(0.7, 1.35)
      : (fromPipe ? -random.between(8, 30) : random.between(3, 11)) * FOOT
  const drawdown = kind === 'well' ? random.between(14, 60) * FOOT : 0
  return {
    flow: clamped,
    pressure,
    waterTemperature,
    fromPipe,
    standing,
    drawdown,
    density: densityOfWater(waterTemperature),
  }
}

export function drawPlant(random: Random, place: PlantPlace): SimulatedPlant {
  const kind = random.happens(0.72) ? 'well' : 'booster'
  const design = drawDesign(random, kind, place)
  const { flow, drawdown } = design
  const pressureHead = design.pressure / (design.density * GRAVITY)
  const column = kind === 'well' ? random.between(0.01, 0.035) : 0.012
  const dischargeCentreAboveDatum = kind === 'well' ? random.between(1, 4) * FOOT : 0
  // Where levels fall, a pump is chosen for some years ahead.
  const head = (design.standing + drawdown + dischargeCentreAboveDatum + pressureHead + 1) * random.between(1, 1.08)
  const pump: Pump = {
    bestFlow: flow * random.between(0.92, 1.1),
    bestHead: head * (1 + column),
    shutoffRatio: random.between(1.3, 1.6),
    bestEfficiency: random.between(0.74, 0.83) - (flow < 500 * GPM ? 0.03 : 0),
  }
  const shaftPower = (design.density * GRAVITY * flow * head * (1 + column)) / pump.bestEfficiency
  const motor = drawMotor(random, shaftPower)
  const share = kind === 'well' ? random.between(0.4, 0.8) : random.between(0.2, 0.6)
  const pipeDiameter = pipeFor(flow, random.between(1.5, 2.2))
  const lossShare = drawdown === 0 ? 0 : random.between(0.05, 0.25)
  const withoutRepairs = {
    pump,
    motor,
    aquifer:
      kind === 'well'
        ? { linear: (drawdown * (1 - lossShare)) / flow, square: (drawdown * lossShare) / flow ** 2 }
        : undefined,
    staticHead: pressureHead * share,
    friction: (pressureHead * (1 - share)) / flow ** 2,
    columnFriction: (head * column) / flow ** 2,
    suctionFriction: design.fromPipe ? random.between(0.2, 0.8) / flow ** 2 : 0,
    standingDepth: design.standing,
    dischargeCentreAboveDatum,
    pipeDiameter: pipeDiameter * (1 + random.within(0.004)),
    suctionDiameter: design.fromPipe ? pipeFor(flow, random.between(1.2, 1.8)) : undefined,
    waterTemperature: design.waterTemperature,
    wearAtStart: Math.min(0.3, random.lognormal(0.08, 0.7)),
    wearPerYear: random.lognormal(0.03, 0.6),
    firstDay: place.firstDay,
    utilityMeter: drawUtilityMeter(random, inputOfMotor(motor, shaftPower)),
    flowMeter: { scale: 1 + random.normal(0.04) },
    shareOfYear: random.between(0.08, 0.35),
    energyRate: random.between(0.1, 0.26),
  }
  const truth: PlantTruth = { ...withoutRepairs, repaired: drawRepairs(random, withoutRepairs, place.years) }
  return {
    code: place.code,
    kind,
    region: place.region.code,
    customer: place.customer,
    firms: place.firms,
    equipment: equipmentOf(random, truth, kind, { drawdown, flow }),
    repairs: truth.repaired.map(({ day }) => dateOf(day)),
    truth,
  }
}

/** How the plant runs on a day, and how deep its water stands at rest. */
export function runOn(
  plant: SimulatedPlant,
  region: Region,
  day: number,
): { readonly point: OperatingPoint; readonly standing: number; readonly density: number; readonly wear: number } {
  const { truth } = plant
  const standing =
    plant.kind === 'well' ? standingDepth(region, truth.standingDepth, truth.firstDay, day) : truth.standingDepth
  const density = densityOfWater(truth.waterTemperature)
  const wear = wearOn(plant, day)
  const duty: Duty = {
    pump: truth.pump,
    motor: truth.motor,
    ...(truth.aquifer !== undefined && { aquifer: truth.aquifer }),
    system: { staticHead: truth.staticHead, friction: truth.friction },
    liftAtRest: standing + truth.dischargeCentreAboveDatum,
    columnFriction: truth.columnFriction,
    suctionFriction: truth.suctionFriction,
    dischargeArea: areaOf(truth.pipeDiameter),
    ...(truth.suctionDiameter !== undefined && { suctionArea: areaOf(truth.suctionDiameter) }),
    wear,
    density,
  }
  return { point: operate(duty), standing, density, wear }
}

export const areaOf = (diameter: number): number => (Math.PI * diameter * diameter) / 4
