/** What comes of a field check: the difference, and whether it is within what the instrument's accuracy allows. */
import type { InstrumentFacts } from '@liftledger/calc'
import { type Dimension, fromSi, toSi, unitSize, unitTable } from '@liftledger/calc'
import type { Static, TObject } from 'typebox'
import { Problem } from '../http/problem.ts'

type Facts = Partial<Static<TObject<typeof InstrumentFacts>>>

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
  { accuracy, fullScale }: Facts,
): number | undefined {
  if (accuracy === undefined) return undefined
  const share = accuracy.percent / 100
  if (accuracy.of === 'reading') return share * Math.abs(shownValue)
  if (fullScale === undefined) return undefined
  // In units of the same kind the scale is taken as it is, so that 1 % of 100 psi is 1 psi to the last bit.
  return share * (fullScale.unit === unit ? fullScale.value : fromSi(toSi(fullScale, dimension), unit, dimension))
}

/** Dimension of the unit: that of the instrument's scale or step, where it has one. */
function dimensionOf(unit: string, { fullScale, resolution }: Facts): Dimension {
  const own = [fullScale?.unit, resolution?.unit].find((known) => known !== undefined)
  const [dimension] = dimensionsOf(unit)
  if (dimension === undefined) throw refused('/unit', 'unknown-unit', `'${unit}' is not a unit here.`, own)
  if (own === undefined) return dimension
  const shared = dimensionsOf(own).find((one) => dimensionsOf(unit).includes(one))
  if (shared !== undefined) return shared
  throw refused('/unit', 'unknown-unit', `'${unit}' does not measure what this instrument shows in ${own}.`, own)
}

const TABLE = unitTable()

const dimensionsOf = (unit: string): Dimension[] =>
  TABLE.filter(({ dimension }) => isUnitOf(unit, dimension)).map(({ dimension }) => dimension)

function isUnitOf(unit: string, dimension: Dimension): boolean {
  try {
    return unitSize(unit, dimension) > 0
  } catch {
    return false
  }
}

function refused(pointer: string, code: 'unknown-unit' | 'number-out-of-range', message: string, own?: string) {
  const allowed = TABLE.filter(({ dimension }) => own === undefined || isUnitOf(own, dimension))
    .flatMap(({ units }) => units.map(({ symbol }) => symbol))
    .slice(0, 100)
  const item = { pointer, code, message, ...(code === 'unknown-unit' && { allowed }) }
  return new Problem('invalid-request', '1 place needs attention; nothing was stored.', { errors: [item] })
}
