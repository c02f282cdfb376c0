/** Flow as each method would have it read. */
import type { Sheet } from '@liftledger/calc'
import type { Kit } from './kit.ts'
import type { PlantMeter } from './plant-truth.ts'
import type { Random } from './random.ts'
import { toStep, written } from './reading.ts'
import { drawProfile, type Profile, velocityAt, writeTraverse } from './traverse.ts'
import { FOOT, GALLON, GPM, INCH } from './units.ts'

/** Flow of one pipe: the simulated plants have no more. */
export type FlowReadings = Exclude<NonNullable<Sheet['runs'][number]['flow']>, { method: 'several-pipes' }>
export type FlowMethod = FlowReadings['method']
type Pipe = NonNullable<FlowReadings['pipe']>

/** What stands before the tester: true values, and the instruments at hand. */
export interface FlowScene {
  readonly flow: number
  readonly pressure: number
  readonly density: number
  readonly diameter: number
  readonly kit: Kit
  readonly plantMeter: PlantMeter
  readonly meterSerial: string
}

/** A diameter taken with a calliper: scale all around hides the same from every reading. Common practice. */
function measuredDiameter(random: Random, diameter: number): number {
  return diameter + random.within(Math.max(0.005 * diameter, 0.001))
}

function straightRuns(random: Random, diameter: number): Pick<Pipe, 'straightUpstream' | 'straightDownstream'> {
  return {
    straightUpstream: written((random.between(8.5, 18) * diameter) / INCH, 'in', 1),
    straightDownstream: written((random.between(2.5, 6) * diameter) / INCH, 'in', 1),
  }
}

function pipeInside(random: Random, diameter: number): Pipe {
  const known = measuredDiameter(random, diameter) / INCH
  return {
    diameterBasis: 'measured',
    insideDiameters: [
      written(known + random.normal(0.01), 'in', 0.01),
      written(known + random.normal(0.01), 'in', 0.01),
    ],
    ...straightRuns(random, diameter),
  }
}

/** From outside: the diameter by tape, the wall by a thickness gauge. */
function pipeOutside(random: Random, diameter: number): { pipe: Pipe; inside: number } {
  const inside = measuredDiameter(random, diameter)
  const wall = toStep(random.between(0.14, 0.32), 0.001)
  const outside = toStep(inside / INCH + 2 * wall, 0.01)
  return {
    pipe: {
      diameterBasis: 'outside-and-wall',
      outsideDiameter: { value: outside, unit: 'in' },
      wallThickness: { value: wall, unit: 'in' },
      ...straightRuns(random, diameter),
    },
    inside: (outside - 2 * wall) * INCH,
  }
}

const repeats = <T>(count: number, read: () => T): T[] => Array.from({ length: count }, read)

/** Random error of one reading of a rate: the eye averages a needle or a display. */
const RATE_NOISE = 0.006
/** Where it is clamped and how well it couples: one error a visit. With the scale of the device 2 % in all. */
const CLAMPING = 0.012
/** A profile factor comes from a traverse of an earlier year. Common practice. */
const PROFILE_FACTOR_ERROR = 0.03

function writeClampOn(
  random: Random,
  scene: FlowScene,
  method: 'ultrasonic-rate' | 'ultrasonic-velocity',
): FlowReadings {
  const { flow, diameter, kit } = scene
  const { pipe, inside } = pipeOutside(random, diameter)
  const scale = 1 + kit.clampOn.scale + random.normal(CLAMPING)
  const signalShare = written(random.between(68, 96), '%', 1)
  const velocity = (flow / (Math.PI / 4) / diameter ** 2) * scale
  if (method === 'ultrasonic-velocity')
    return {
      method,
      pipe,
      signalShare,
      velocities: repeats(5, () => written((velocity * (1 + random.normal(RATE_NOISE))) / FOOT, 'ft/s', 0.01)),
    }
  const rate = velocity * (Math.PI / 4) * inside ** 2
  return {
    method,
    pipe,
    deviceDiameter: written(inside / INCH, 'in', 0.01),
    signalShare,
    rates: repeats(5, () => written((rate * (1 + random.normal(RATE_NOISE))) / GPM, 'gpm', 1)),
  }
}

function writeInsertion(random: Random, scene: FlowScene, profile: Profile): FlowReadings {
  const depth = random.pick([0.125, 0.5])
  const atSensor = velocityAt({ ...profile, lean: [0, 0], flattening: 0 }, depth, 0)
  const factor = (profile.meanVelocity / atSensor) * (1 + random.normal(PROFILE_FACTOR_ERROR))
  const shown = atSensor * (1 + scene.kit.insertion.scale)
  return {
    method: 'insertion-velocity',
    pipe: pipeInside(random, scene.diameter),
    profileFactor: { value: toStep(factor, 0.001), unit: '1' },
    velocities: repeats(5, () => written((shown * (1 + random.normal(0.008))) / FOOT, 'ft/s', 0.01)),
  }
}

function writeTotaliser(random: Random, scene: FlowScene): FlowReadings {
  const multiplier = 10
  const minutes = random.whole(8, 15)
  const before = random.between(10_000, 900_000)
  const gallons = (scene.flow * scene.plantMeter.scale * minutes * 60) / GALLON / multiplier
  // A register shows the last whole step it has passed.
  const [start, end] = [Math.floor(before), Math.floor(before + gallons)]
  return {
    method: 'meter-totaliser',
    pipe: pipeInside(random, scene.diameter),
    start: { value: start, unit: 'gal' },
    end: { value: end, unit: 'gal' },
    step: { value: 1, unit: 'gal' },
    multiplier: { value: multiplier, unit: '1' },
    elapsed: written(minutes * 60 + random.normal(0.2), 's', 0.1),
    meterSerial: scene.meterSerial,
  }
}

/** Readings of flow by one method. */
export function writeFlow(random: Random, method: FlowMethod, scene: FlowScene): FlowReadings {
  const { flow, diameter, kit, plantMeter } = scene
  const profile = drawProfile(random, flow / ((Math.PI / 4) * diameter ** 2), diameter)
  switch (method) {
    case 'pitot-traverse':
      return writeTraverse(random, { ...scene, profile, pitot: kit.pitot, pipe: pipeInside(random, diameter) })
    case 'meter-rate':
      return {
        method,
        pipe: pipeInside(random, diameter),
        rates: repeats(5, () => written((flow * plantMeter.scale * (1 + random.normal(RATE_NOISE))) / GPM, 'gpm', 5)),
        meterSerial: scene.meterSerial,
      }
    case 'meter-totaliser':
      return writeTotaliser(random, scene)
    case 'ultrasonic-rate':
    case 'ultrasonic-velocity':
      return writeClampOn(random, scene, method)
    case 'insertion-velocity':
      return writeInsertion(random, scene, profile)
    default:
      throw new RangeError(`The simulator has no readings for the flow method ${String(method)}; choose another.`)
  }
}
