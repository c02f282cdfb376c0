/**
 * What those know of a record who have part of it: a firm knows the tests it made, a customer those of its plants, and a
 * firm may be told by a customer. Each figure of the record is held in unknowns: tests that are in the same cells.
 */
import type { CountedTest } from './lattice.ts'
import type { Magnitude } from './rules.ts'

/** Neither, one, or both: what a firm and a customer know together. */
export interface Attacker {
  readonly firm?: string
  readonly customer?: string
}

export const NOBODY: Attacker = {}

/** How far each unknown may fall, and rise, for all an attacker knows. */
export interface Room {
  readonly down: Float64Array
  readonly up: Float64Array
}

interface Known {
  readonly byFirm: Map<string, number>
  readonly byCustomer: Map<string, number>
  readonly byBoth: Map<string, number>
}

const both = (firm: string, customer: string): string => `${firm} ${customer}`
const addTo = (sums: Map<string, number>, key: string, value: number): void => {
  sums.set(key, (sums.get(key) ?? 0) + value)
}

function knownOf(tests: readonly CountedTest[], magnitude: Magnitude): Known {
  const known = {
    byFirm: new Map<string, number>(),
    byCustomer: new Map<string, number>(),
    byBoth: new Map<string, number>(),
  }
  for (const test of tests) {
    const value = magnitude(test)
    addTo(known.byFirm, test.firm, value)
    addTo(known.byCustomer, test.customer, value)
    addTo(known.byBoth, both(test.firm, test.customer), value)
  }
  return known
}

function sumKnown({ byFirm, byCustomer, byBoth }: Known, { firm, customer }: Attacker): number {
  const own = firm === undefined ? 0 : (byFirm.get(firm) ?? 0)
  const told = customer === undefined ? 0 : (byCustomer.get(customer) ?? 0)
  return own + told - (own > 0 && told > 0 ? (byBoth.get(both(firm!, customer!)) ?? 0) : 0)
}

/** One additive figure over the unknowns, scaled so that a test holds about one. */
export class Holdings {
  readonly values: readonly number[]
  readonly #amounts: readonly Known[]
  readonly #counts: readonly Known[]
  readonly #tests: readonly number[]
  readonly #cap: number

  /** `cap`: what no test can hold more of, where there is such a bound. */
  constructor(unknowns: readonly (readonly CountedTest[])[], magnitude: Magnitude, cap: number | undefined) {
    const all = unknowns.flat()
    const total = all.reduce((sum, test) => sum + magnitude(test), 0)
    const scale = total > 0 ? all.length / total : 1
    const scaled: Magnitude = (test) => magnitude(test) * scale
    this.#amounts = unknowns.map((tests) => knownOf(tests, scaled))
    this.#counts = unknowns.map((tests) => knownOf(tests, () => 1))
    this.#tests = unknowns.map(({ length }) => length)
    this.#cap = cap === undefined ? Number.POSITIVE_INFINITY : cap * scale
    this.values = unknowns.map((tests) => tests.reduce((sum, test) => sum + scaled(test), 0))
  }

  /** What of an unknown an attacker doesn't know. */
  hiddenIn(unknown: number, attacker: Attacker): number {
    const hidden = this.values[unknown]! - sumKnown(this.#amounts[unknown]!, attacker)
    // What sums leave of a difference of equals.
    return hidden > 1e-9 ? hidden : 0
  }

  #ceilingOf(unknown: number, attacker: Attacker): number {
    const tests = this.#tests[unknown]! - sumKnown(this.#counts[unknown]!, attacker)
    return tests === 0 ? 0 : Math.max(0, tests * this.#cap - this.hiddenIn(unknown, attacker))
  }

  roomOf(attacker: Attacker): Room {
    return {
      down: Float64Array.from(this.values, (_, unknown) => this.hiddenIn(unknown, attacker)),
      up: Float64Array.from(this.values, (_, unknown) => this.#ceilingOf(unknown, attacker)),
    }
  }

  /**
   * For all who know what an attacker knows and more, as if each knew of every unknown what the one who knows most of it
   * does: what this leaves, all of them leave.
   */
  roomOfAllBeyond(attacker: Attacker): Room {
    const room = this.roomOf(attacker)
    this.values.forEach((_, unknown) => {
      for (const known of this.thoseWhoKnow(unknown)) {
        const other = { ...known, ...attacker }
        room.down[unknown] = Math.min(room.down[unknown]!, this.hiddenIn(unknown, other))
        room.up[unknown] = Math.min(room.up[unknown]!, this.#ceilingOf(unknown, other))
      }
    })
    return room
  }

  /** Whether a move of an unknown is possible for all an attacker knows. */
  allows(unknown: number, move: number, attacker: Attacker): boolean {
    if (move === 0) return true
    return move < 0
      ? -move <= this.hiddenIn(unknown, attacker) + SLACK
      : move <= this.#ceilingOf(unknown, attacker) + SLACK
  }

  /** Everyone who knows something of an unknown. */
  *thoseWhoKnow(unknown: number): Generator<Attacker> {
    const { byFirm, byCustomer } = this.#amounts[unknown]!
    for (const firm of byFirm.keys()) {
      yield { firm }
      for (const customer of byCustomer.keys()) yield { firm, customer }
    }
    for (const customer of byCustomer.keys()) yield { customer }
  }
}

/** Far below what a test holds. */
const SLACK = 1e-9
