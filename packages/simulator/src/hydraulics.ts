/**
 * A pumping plant as physics: a pump that lifts less the more it delivers, an aquifer that gives way, a system that
 * pushes back, and a motor that loses some. SI throughout. Common practice of hydraulics, simplified; what it gives
 * is the truth a visit is held against.
 */
import { GRAVITY } from './units.ts'

export interface Pump {
  /** Flow in m³/s and head in m at the best point of the pump when new. */
  readonly bestFlow: number
  readonly bestHead: number
  /** Head without flow, as a ratio of `bestHead`. */
  readonly shutoffRatio: number
  /** Efficiency at the best point when new. */
  readonly bestEfficiency: number
}

export interface Motor {
  /** Output of the nameplate in W. */
  readonly ratedPower: number
  /** Losses that are always there, and losses that grow with the square of load; as ratios of `ratedPower`. */
  readonly fixedLoss: number
  readonly loadLoss: number
}

/** Level falls by `linear`·Q in the aquifer and by `square`·Q² at the screen (Jacob’s form; from memory). */
export interface Aquifer {
  readonly linear: number
  readonly square: number
}

/** What the plant pushes against behind its discharge tap. */
export interface System {
  /** Head in m at the discharge centre without flow. */
  readonly staticHead: number
  /** Friction behind the tap in m for (m³/s)². */
  readonly friction: number
}

export interface Duty {
  readonly pump: Pump
  readonly motor: Motor
  readonly system: System
  /** Absent for a booster. */
  readonly aquifer?: Aquifer
  /** Depth in m of the standing water below the discharge centre; of a booster the surface or suction head, negated. */
  readonly liftAtRest: number
  /** Head lost in column and shaft on the way to the tap, in m for (m³/s)²; the pump gives it, the tap does not see it. */
  readonly columnFriction: number
  /** Loss between surface and suction tap in m for (m³/s)². */
  readonly suctionFriction: number
  /** Area in m² of the discharge pipe, and of the suction pipe at its tap where there is one. */
  readonly dischargeArea: number
  readonly suctionArea?: number
  /** 0 when new; the pump loses head and efficiency with it. */
  readonly wear: number
  readonly density: number
}

/** What is so while the plant runs steadily. */
export interface OperatingPoint {
  /** m³/s. */
  readonly flow: number
  /** m: how far the level of a well stands below its standing level. */
  readonly drawdown: number
  /** Gauge pressure in Pa at the discharge centre. */
  readonly dischargePressure: number
  /** Head in m above the discharge centre at the suction tap or of the open surface; negative where the pump lifts. */
  readonly suctionHead: number
  /** m, from water at rest to the discharge tap, velocity head included. */
  readonly totalHead: number
  /** W. */
  readonly shaftPower: number
  readonly inputPower: number
  readonly waterPower: number
  readonly overallEfficiency: number
  readonly motorLoad: number
}

/** Share of its head that a pump loses when half of its efficiency is gone. */
const HEAD_LOSS_OF_WEAR = 0.5

function headOfPump({ pump, wear }: Duty, flow: number): number {
  const ratio = flow / pump.bestFlow
  const whenNew = pump.bestHead * (pump.shutoffRatio - (pump.shutoffRatio - 1) * ratio * ratio)
  return whenNew * (1 - HEAD_LOSS_OF_WEAR * wear)
}

function efficiencyOfPump({ pump, wear }: Duty, flow: number): number {
  const away = flow / pump.bestFlow - 1
  return pump.bestEfficiency * Math.max(0.2, 1 - 0.7 * away * away) * (1 - wear)
}

/** Input of a motor that gives `shaftPower`. */
export const inputOfMotor = ({ ratedPower, fixedLoss, loadLoss }: Motor, shaftPower: number): number =>
  shaftPower + ratedPower * (fixedLoss + loadLoss * (shaftPower / ratedPower) ** 2)

const velocityHead = (flow: number, area: number): number => (flow / area) ** 2 / (2 * GRAVITY)

/** Head that the pump must give at this flow, to the tap and beyond. */
function headNeeded(duty: Duty, flow: number): { total: number; drawdown: number; tap: number; suction: number } {
  const { aquifer, system, liftAtRest, suctionArea } = duty
  const drawdown = aquifer === undefined ? 0 : aquifer.linear * flow + aquifer.square * flow * flow
  const tap = system.staticHead + system.friction * flow * flow
  const atSurface = -(liftAtRest + drawdown)
  // A gauge at the suction tap sees the surface less what was lost and what became velocity on the way.
  const suction =
    suctionArea === undefined
      ? atSurface
      : atSurface - duty.suctionFriction * flow * flow - velocityHead(flow, suctionArea)
  const gained = suctionArea === undefined ? 0 : velocityHead(flow, suctionArea)
  return { total: tap + velocityHead(flow, duty.dischargeArea) - suction - gained, drawdown, tap, suction }
}

/**
 * Where pump and plant agree, by halving: the pump’s head falls with flow and the plant’s rises, so they meet once.
 *
 * @throws RangeError where the pump can’t lift the water at all
 */
export function operate(duty: Duty): OperatingPoint {
  const spare = (flow: number) =>
    headOfPump(duty, flow) - duty.columnFriction * flow * flow - headNeeded(duty, flow).total
  let low = 0
  let high = 3 * duty.pump.bestFlow
  if (spare(low) <= 0)
    throw new RangeError('The pump gives less head without flow than the plant asks for: no water would come.')
  for (let i = 0; i < 60; i++) {
    const middle = (low + high) / 2
    if (spare(middle) > 0) low = middle
    else high = middle
  }
  const flow = (low + high) / 2
  const needed = headNeeded(duty, flow)
  const weight = duty.density * GRAVITY * flow
  const shaftPower = (weight * headOfPump(duty, flow)) / efficiencyOfPump(duty, flow)
  const inputPower = inputOfMotor(duty.motor, shaftPower)
  const waterPower = weight * needed.total
  return {
    flow,
    drawdown: needed.drawdown,
    dischargePressure: duty.density * GRAVITY * needed.tap,
    suctionHead: needed.suction,
    totalHead: needed.total,
    shaftPower,
    inputPower,
    waterPower,
    overallEfficiency: waterPower / inputPower,
    motorLoad: shaftPower / duty.motor.ratedPower,
  }
}
