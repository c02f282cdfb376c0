/**
 * A method edition: a frozen, dated version of the settings, default uncertainties and thresholds.
 * Numbers that someone might choose otherwise stand here, never in a formula.
 */
import type { TraverseRule } from '../flow/traverse-positions.ts'
import type { Source } from '../formula.ts'
import type { Purpose } from '../purposes.ts'
import type { QuantityId } from '../quantities.ts'
import { interval95, rectangular, resolution } from '../uncertainty.ts'
import { type Dimension, siUnit, toSi, unitSize } from '../units.ts'

/** How a stated amount becomes a standard uncertainty. */
export type Shape = 'standard' | 'rectangular' | 'step' | 'interval-95'

interface Amount {
  readonly title: string
  readonly value: number
  readonly unit: string
  readonly dimension: Dimension
  readonly source: Source
}

interface DefaultUncertaintyDeclaration extends Amount {
  readonly shape: Shape
}

/** A default of the edition, with its standard uncertainty in SI. */
interface DefaultUncertainty extends DefaultUncertaintyDeclaration {
  readonly place: string
  /** Standard uncertainty in SI. */
  readonly u: number
  readonly siUnit: string
}

/** A threshold of findings, with its value in SI. */
export interface Limit extends Amount {
  readonly name: string
  /** Value in SI. */
  readonly si: number
}

/** Where readings of a kind usually lie, in `unit`, and which units are taken for one another. */
export interface UsualSpanDeclaration {
  readonly dimension: Dimension
  readonly low: number
  readonly high: number
  readonly unit: string
  readonly others: readonly string[]
}

/** A usual span with its ends in SI. */
export interface UsualSpan extends UsualSpanDeclaration {
  readonly lowSi: number
  readonly highSi: number
}

export interface Settings {
  /** Whether velocity head counts in the head that makes overall plant efficiency. Both heads are always reported. */
  readonly velocityHead: 'include' | 'omit'
  /** Water temperature used where none was read, °C. */
  readonly densityDefaultTemperatureC: number
  /** Full scale assumed for a gauge that is not on record, as a multiple of its reading: gauges are read near mid-scale. */
  readonly assumedScalePerReading: number
  /** The least full scale assumed, Pa. */
  readonly leastAssumedScalePa: number
  /** Efficiency of a variable-frequency drive where neither its record nor the sheet says one (common practice). */
  readonly driveEfficiencyNotStated: number
  /** Mean velocity over centre velocity where no earlier traverse gives it: a long straight pipe (common practice). */
  readonly pipeFactorNotGiven: number
  /** Service factor of a general-purpose motor whose nameplate says nothing (common practice). */
  readonly serviceFactorNotStated: number
  /** Efficiency of a belt or a gear whose record says none (common practice). */
  readonly transmissionEfficiencyNotStated: Readonly<Record<'belt' | 'gear', number>>
  /** Losses of a motor that was rewound or whose age is not known, beside those of a new one: the middle of what is usual. */
  readonly lossesOfOldMotor: number
  /** Friction of a line shaft whose loss is not stated, J/m³: power for speed (rev/s), length and square of the diameter (m). */
  readonly lineShaftFriction: number
  /** Pressure of the air at a gas meter where no barometer was read, Pa: ground below some 600 m. */
  readonly barometricPressureNotReadPa: number
  /** Density of oil on a well relative to water, where it was not given (common practice). */
  readonly oilDensityNotRead: number
  /** Roughness of a column pipe that is not on record, m: steel in use (Moody 1944). */
  readonly columnRoughnessNotStatedM: number
  /** How long before its last reading the pumping level must stand, s. */
  readonly levelWindowS: number
  /** Least share of the variance of overall plant efficiency that is worth a line of advice, a ratio. */
  readonly leastShareOfAdvice: number
  /** What a reader looks for first, by what the visit promised; said to be missing where readings do not give it. */
  readonly expected: Readonly<Record<Purpose, readonly QuantityId[]>>
}

export const FUELS = ['diesel', 'gasoline', 'propane', 'natural-gas'] as const
export type Fuel = (typeof FUELS)[number]

/** What an edition takes for a fuel whose supplier’s statement is not on the sheet. */
export interface FuelDeclaration {
  readonly title: string
  /** Higher heating value at base conditions. */
  readonly heatingValue: { readonly value: number; readonly unit: string; readonly source: Source }
  /** Thermal expansion in 1/K; absent for a gas. */
  readonly expansion?: { readonly value: number; readonly source: Source }
}

type SpanName = 'discharge-pressure' | 'inside-diameter' | 'velocity-of-rate' | 'rate'

export interface Edition<D extends string = string, L extends string = string> {
  readonly id: string
  /** First day on which the edition may be used. */
  readonly inForceFrom: string
  readonly settings: Settings
  readonly defaults: Readonly<Record<D, DefaultUncertainty>>
  readonly limits: Readonly<Record<L, Limit>>
  /** Standard uncertainty of the integration over the pipe, relative, by rule and points per radius. */
  readonly traverseIntegration: Readonly<Record<TraverseRule, readonly number[]>>
  readonly fuels: Readonly<Record<Fuel, FuelDeclaration>>
  /** Usual spans of readings. */
  readonly spans: Readonly<Record<SpanName, UsualSpan>>
  /** Ids of the findings in force that sheet and context decide. */
  readonly findings: readonly string[]
  /** Ids of the findings in force that are decided from the record. */
  readonly recordFindings: readonly string[]
}

function standardUncertainty(amount: number, shape: Shape): number {
  switch (shape) {
    case 'standard':
      return amount
    case 'rectangular':
      return rectangular(amount)
    case 'step':
      return resolution(amount)
    case 'interval-95':
      return interval95(amount)
  }
}

/** Freezes an edition: amounts are brought to SI once. */
export function defineEdition<const D extends string, const L extends string>(declaration: {
  id: string
  inForceFrom: string
  settings: Settings
  defaults: Record<D, DefaultUncertaintyDeclaration>
  limits: Record<L, Amount>
  traverseIntegration: Readonly<Record<TraverseRule, readonly number[]>>
  fuels: Readonly<Record<Fuel, FuelDeclaration>>
  spans: Readonly<Record<SpanName, UsualSpanDeclaration>>
  findings: readonly string[]
  recordFindings: readonly string[]
}): Edition<D, L> {
  const defaults = {} as Record<D, DefaultUncertainty>
  for (const name of Object.keys(declaration.defaults) as D[]) {
    const d = declaration.defaults[name]
    const amount = d.value * unitSize(d.unit, d.dimension)
    defaults[name] = {
      ...d,
      place: `edition/${name}`,
      u: standardUncertainty(amount, d.shape),
      siUnit: siUnit(d.dimension),
    }
  }
  const limits = {} as Record<L, Limit>
  for (const name of Object.keys(declaration.limits) as L[]) {
    const limit = declaration.limits[name]
    limits[name] = { ...limit, name, si: limit.value * unitSize(limit.unit, limit.dimension) }
  }
  const spans = {} as Record<SpanName, UsualSpan>
  for (const name of Object.keys(declaration.spans) as SpanName[]) {
    const span = declaration.spans[name]
    const end = (value: number) => toSi({ value, unit: span.unit }, span.dimension)
    spans[name] = { ...span, lowSi: end(span.low), highSi: end(span.high) }
  }
  return Object.freeze({ ...declaration, defaults, limits, spans })
}
