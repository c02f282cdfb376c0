/**
 * Each way of reading a level, a flow or a power, by name. A method of the description that has no line here is an
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
const flowBy = by<wire.FlowReadings>()
const powerBy = by<wire.PowerReadings>()

/** Ways of reading a water level. */
export const level: MethodBuilders<wire.LevelReading> = {
  electricSounder: levelBy('electric-sounder'),
}

/** Ways of measuring the flow. */
export const flow: MethodBuilders<wire.FlowReadings> = {
  pitotTraverse: flowBy('pitot-traverse'),
}

/** Ways of reading the electrical input. */
export const power: MethodBuilders<wire.PowerReadings> = {
  meterRevolutions: powerBy('meter-revolutions'),
}
