/** What comes of a field check: the difference, and whether it is within what the instrument's accuracy allows. */
import type { InstrumentFacts } from '@liftledger/calc'
import { type Dimension, fromSi, isUnitOf, scaleEndOf, toSi, unitTable } from '@liftledger/calc'
import type { Static, TObject } from 'typebox'
import { Problem } from '../http/problem.ts'

type Facts = Partial<Static<TObject<typeof InstrumentFacts>>>
type InstrumentKind = NonNullable<Facts['kind']>

/** What an instrument of each kind may show: a check in a unit of anything else is not a check of it. */
const SHOWS: Readonly<Record<InstrumentKind, readonly Dimension[]>> = {
  'electric-sounder': ['length'],
  'pressure-gauge': ['pressure'],
  'pressure-transducer': ['pressure'],
  'pitot-tube-and-manometer': ['length', 'pressure', 'velocity', 'ratio'],
  'clamp-on-meter': ['flow', 'velocity', 'volume', 'length'],
  'insertion-meter': ['velocity', 'flow'],
  'propeller-meter': ['flow', 'volume', 'velocity'],
  'magnetic-meter': ['flow', 'volume', 'velocity'],
  'power-clamp': ['power', 'voltage', 'current', 'energy', 'ratio', 'frequency'],
  tachometer: ['speed'],
  stopwatch: ['time'],
  'hook-gauge': ['length'],
  'fuel-measure': ['volume'],
  'water-tube': ['length'],
  thermometer: ['temperature'],
}

export interface Reading {
  readonly referenceValue: number
  readonly shownValue: number
  readonly unit: string
}

export interface Judgement {
  /** Shown less reference, in the unit of the check. */
  readonly difference: number
  /** Largest error that the stated accuracy allows, in the same unit; absent where none is stated. */
  readonly allowed?: number
  readonly outcome: 'within' | 'outside' | 'no-accuracy-stated'
}

/** Differences are computed from decimal text; a difference on the limit must not fall outside by its last bit. */
const ROUNDING = 1e-9

/**
 * Judges a check by what held of the instrument on the day.
 *
 * Throws `invalid-request` for an unknown unit, one of another dimension than the instrument's own, or numbers
 * whose difference no double holds.
 */
export function judgeCheck({ referenceValue, shownValue, unit }: Reading, facts: Facts): Judgement {
  const dimension = dimensionOf(unit, facts)
  const difference = shownValue - referenceValue
  if (!Number.isFinite(difference)) throw refused('/shownValue', 'number-out-of-range', 'The difference is too large.')
  const allowed = allowedIn({ shownValue, unit }, dimension, facts)
  if (allowed === undefined) return { difference, outcome: 'no-accuracy-stated' }
  const within = Math.abs(difference) <= allowed * (1 + ROUNDING)
  return { difference, allowed, outcome: within ? 'within' : 'outside' }
}

/** Percent of full scale or of the reading, in the unit of the check. */
function allowedIn(
  { shownValue, unit }: Pick<Reading, 'shownValue' | 'unit'>,
  dimension: Dimension,
  facts: Facts,
): number | undefined {
  const { accuracy } = facts
  if (accuracy === undefined) return undefined
  const share = accuracy.percent / 100
  if (accuracy.of === 'reading') return share * Math.abs(shownValue)
  const end = scaleEndOf(facts, dimension)
  if (end === undefined) return undefined
  // In the unit of the record the scale is taken as it is, so that 1 % of 100 psi is 1 psi to the last bit.
  return share * (end.unit === unit ? end.value : fromSi(toSi(end, dimension), unit, dimension))
}

/**
 * Dimension of the unit: that of the instrument's scale, range or step where it has one, else one that instruments
 * of its kind show.
 */
function dimensionOf(unit: string, { kind, fullScale, range, resolution }: Facts): Dimension {
  const [dimension] = dimensionsOf(unit)
  const own = [fullScale?.unit, range?.unit, resolution?.unit].find((known) => known !== undefined)
  const shown = own !== undefined ? dimensionsOf(own) : kind !== undefined ? SHOWS[kind] : undefined
  if (dimension === undefined) throw refused('/unit', 'unknown-unit', `'${unit}' is not a unit here.`, shown)
  if (shown === undefined) return dimension
  const shared = shown.find((one) => isUnitOf(unit, one))
  if (shared !== undefined) return shared
  const what = own === undefined ? `a ${kind} shows` : `this instrument shows in ${own}`
  throw refused('/unit', 'unknown-unit', `'${unit}' does not measure what ${what}.`, shown)
}

const TABLE = unitTable()

const dimensionsOf = (unit: string): Dimension[] =>
  TABLE.filter(({ dimension }) => isUnitOf(unit, dimension)).map(({ dimension }) => dimension)

function refused(
  pointer: string,
  code: 'unknown-unit' | 'number-out-of-range',
  message: string,
  shown?: readonly Dimension[],
) {
  const allowed = TABLE.filter(({ dimension }) => shown === undefined || shown.includes(dimension))
    .flatMap(({ units }) => units.map(({ symbol }) => symbol))
    .slice(0, 100)
  const item = { pointer, code, message, ...(code === 'unknown-unit' && { allowed }) }
  return new Problem('invalid-request', '1 place needs attention; nothing was stored.', { errors: [item] })
}
