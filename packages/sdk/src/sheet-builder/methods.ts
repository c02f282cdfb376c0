/**
 * Each way of reading a level, a suction side, a flow or a power, by name. A method of the description that has no line here is an
 * error of the compiler, and so is a line without a method.
 */
import type * as wire from '../generated/types.ts'

interface ByMethod {
  readonly method: string
}

/** `pitot-traverse` → `pitotTraverse`. */
export type CamelCase<S extends string> = S extends `${infer First}-${infer Rest}`
  ? `${First}${Capitalize<CamelCase<Rest>>}`
  : S

type Of<R extends ByMethod, M> = Extract<R, { readonly method: M }>

/** For each method of a union, what takes its readings and names it. */
export type MethodBuilders<R extends ByMethod> = {
  readonly [M in R['method'] as CamelCase<M>]: (readings: Omit<Of<R, M>, 'method'>) => Of<R, M>
}

const by =
  <R extends ByMethod>() =>
  <const M extends R['method']>(method: M) =>
  (readings: Omit<Of<R, M>, 'method'>): Of<R, M> =>
    ({ method, ...readings }) as unknown as Of<R, M>

const levelBy = by<wire.LevelReading>()
const suctionBy = by<wire.Suction>()
const flowBy = by<wire.FlowReadings>()
const powerBy = by<wire.PowerReadings>()

/** Ways of reading a water level. */
export const level: MethodBuilders<wire.LevelReading> = {
  electricSounder: levelBy('electric-sounder'),
  airLine: levelBy('air-line'),
  transducer: levelBy('transducer'),
  acoustic: levelBy('acoustic'),
}

/** What a booster draws from. */
export const suction: MethodBuilders<wire.Suction> = {
  openSurface: suctionBy('open-surface'),
  gauge: suctionBy('gauge'),
}

/** Ways of measuring the flow. */
export const flow: MethodBuilders<wire.FlowReadings> = {
  pitotTraverse: flowBy('pitot-traverse'),
  centreLineVelocity: flowBy('centre-line-velocity'),
  meterRate: flowBy('meter-rate'),
  meterTotaliser: flowBy('meter-totaliser'),
  ultrasonicRate: flowBy('ultrasonic-rate'),
  ultrasonicVelocity: flowBy('ultrasonic-velocity'),
  insertionVelocity: flowBy('insertion-velocity'),
  weirVNotch: flowBy('weir-v-notch'),
  weirRectangular: flowBy('weir-rectangular'),
  weirCipolletti: flowBy('weir-cipolletti'),
  parshallFlume: flowBy('parshall-flume'),
  pipeEndOrifice: flowBy('pipe-end-orifice'),
  jetTrajectory: flowBy('jet-trajectory'),
  verticalJet: flowBy('vertical-jet'),
  tank: flowBy('tank'),
  /** Each pipe by one of the other methods; their flows add up. */
  severalPipes: flowBy('several-pipes'),
}

/** Ways of reading the input of the plant. */
export const power: MethodBuilders<wire.PowerReadings> = {
  meterRevolutions: powerBy('meter-revolutions'),
  meterPulses: powerBy('meter-pulses'),
  meterDisplay: powerBy('meter-display'),
  meterRegister: powerBy('meter-register'),
  meterDemand: powerBy('meter-demand'),
  /** Connected and read in a panel, by qualified staff only. */
  twoWattmeters: powerBy('two-wattmeters'),
  /** What an engine takes. */
  fuelVolume: powerBy('fuel-volume'),
  /** Read in a panel, by qualified staff only. */
  voltsAmps: powerBy('volts-amps'),
}
