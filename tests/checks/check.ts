/** One figure printed by somebody else, and what the product's own code makes of it. */
import { type Dimension, formulas, fromSi, toSi } from '@liftledger/calc'

/** Where a figure is printed. */
export interface Publication {
  readonly publisher: string
  readonly document: string
  readonly place: string
  readonly year?: number
}

/** How the figure was come by: read in a copy, remembered, derived from exact definitions, custom of the trade. */
export type Basis = 'looked up' | 'from memory' | 'derived' | 'common practice'

/** A publication as it was used: where the copy was read, if it was. */
export interface Source {
  readonly publication: Publication
  readonly basis: Basis
  /** Address of the copy, or what kind of copy it was. */
  readonly address?: string
}

export interface Check {
  readonly id: string
  readonly what: string
  readonly source: Source
  readonly printed: number
  readonly unit: string
  /** Allowed distance in `unit`: half a unit of the last printed digit unless the note says otherwise. */
  readonly within: number
  readonly note?: string
  /** What the product's code gives, in `unit`. */
  readonly computed: () => number
}

/** A figure that the product does not reproduce, and should not. */
export interface Disagreement extends Check {
  /** Why the two differ. */
  readonly cause: string
  /** Product over printed less one, as it was when the cause was found; two digits. */
  readonly apart: number
}

/** A check as a line of a table. */
export type Row = readonly [
  id: string,
  what: string,
  source: Source,
  printed: number,
  unit: string,
  within: number,
  computed: () => number,
  note?: string,
]

export const rowsToChecks = (rows: readonly Row[]): Check[] =>
  rows.map(([id, what, source, printed, unit, within, computed, note]) => ({
    id,
    what,
    source,
    printed,
    unit,
    within,
    computed,
    ...(note === undefined ? {} : { note }),
  }))

/** A publication of which a copy was read at the address. */
export const lookedUp = (
  publisher: string,
  document: string,
  place: string,
  address: string,
  year?: number,
): Source => ({
  publication: { publisher, document, place, ...(year === undefined ? {} : { year }) },
  basis: 'looked up',
  address,
})

export interface Outcome {
  readonly check: Check | Disagreement
  readonly computed: number
  /** Product less printed, in the unit of the check. */
  readonly difference: number
  readonly failed: boolean
}

export const isDisagreement = (check: Check | Disagreement): check is Disagreement => 'cause' in check

/** Rounding of the arithmetic itself, relative. */
const ROUNDING = 1e-14

/**
 * A value passes if it is as close as the printed digits tell. A disagreement passes if it disagrees, and by as
 * much as its cause explains: a difference that grows or vanishes is news.
 */
export function judge(check: Check | Disagreement): Outcome {
  const computed = check.computed()
  const difference = computed - check.printed
  const allowed = check.within + Math.abs(check.printed) * ROUNDING
  if (!isDisagreement(check)) return { check, computed, difference, failed: !(Math.abs(difference) <= allowed) }
  const relative = difference / check.printed
  const asExplained = Math.abs(relative - check.apart) <= 0.05 * Math.abs(check.apart)
  return { check, computed, difference, failed: !(asExplained && Math.abs(difference) > allowed) }
}

/** A quantity in a unit, from one in another: through the product's unit table both ways. */
export const convert = (value: number, unit: string, dimension: Dimension, to: string): number =>
  fromSi(toSi({ value, unit }, dimension), to, dimension)

/** SI value of a quantity by the product's unit table. */
export const si = (value: number, unit: string, dimension: Dimension): number => toSi({ value, unit }, dimension)

/** Value of a formula of the product at inputs in SI. */
export function formula(id: string, inputs: Readonly<Record<string, number | readonly number[]>>): number {
  const found = formulas.find((candidate) => candidate.id === id)
  if (found === undefined) throw new Error(`The product has no formula '${id}'.`)
  return found.value(inputs)
}

/** The international pound, kg, by which densities in lb/ft³ and lb/gal are given; the product has no mass unit. */
export const POUND = 0.45359237
