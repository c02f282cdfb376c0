/**
 * What those know of a record who have part of it: a firm knows the tests it made, an owner those of its plants, and a firm may be
 * told by owners. Each figure of the record is held in unknowns: tests that are in the same cells.
 */
import { LRUCache } from 'lru-cache'
import type { CountedTest } from './lattice.ts'
import type { Magnitude } from './rules.ts'

/** Neither, one, or both: what a firm and those who tell it know together. */
export interface Attacker {
  readonly firm?: string
  /** A customer, or single plants: as `customerNamed` and `plantNamed` have them. */
  readonly told?: readonly string[]
}

export const customerNamed = (customer: string): string => `c ${customer}`
export const plantNamed = (plant: string): string => `p ${plant}`

/** Far below what a test holds. */
const SLACK = 1e-9

export const nameOf = ({ firm, told = [] }: Attacker): string => `${firm} ${told.join(' ')}`

export const NOBODY: Attacker = {}

/** How far each unknown may fall, and rise, for all an attacker knows. */
export interface Room {
  readonly down: Float64Array
  readonly up: Float64Array
}

interface Known {
  readonly byFirm: Map<string, number>
  readonly byTold: Map<string, number>
  readonly byBoth: Map<string, number>
}

const both = (firm: string, told: string): string => `${firm} ${told}`
const addTo = (sums: Map<string, number>, key: string, value: number): void => {
  sums.set(key, (sums.get(key) ?? 0) + value)
}

function knownOf(tests: readonly CountedTest[], magnitude: Magnitude): Known {
  const known = {
    byFirm: new Map<string, number>(),
    byTold: new Map<string, number>(),
    byBoth: new Map<string, number>(),
  }
  for (const test of tests) {
    const value = magnitude(test)
    addTo(known.byFirm, test.firm, value)
    for (const name of [customerNamed(test.customer), plantNamed(test.plant)]) {
      addTo(known.byTold, name, value)
      addTo(known.byBoth, both(test.firm, name), value)
    }
  }
  return known
}

function sumKnown({ byFirm, byTold, byBoth }: Known, { firm, told = [] }: Attacker): number {
  let known = firm === undefined ? 0 : (byFirm.get(firm) ?? 0)
  for (const name of told) {
    const more = byTold.get(name)
    if (more !== undefined) known += more - (firm === undefined ? 0 : (byBoth.get(both(firm, name)) ?? 0))
  }
  return known
}

/** One additive figure over the unknowns, scaled so that a test holds about one. */
export class Holdings {
  readonly values: readonly number[]
  readonly firms: readonly string[]
  readonly #amounts: readonly Known[]
  readonly #counts: readonly Known[]
  readonly #tests: readonly number[]
  readonly #cap: number
  readonly #hidden = new LRUCache<string, Float64Array>({ max: 2_000 })

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
    this.firms = [...new Set(all.map(({ firm }) => firm))].sort()
    this.values = unknowns.map((tests) => tests.reduce((sum, test) => sum + scaled(test), 0))
  }

  /** What of an unknown an attacker doesn't know. */
  hiddenIn(unknown: number, attacker: Attacker): number {
    const hidden = this.#hiddenTo(attacker)
    if (Number.isNaN(hidden[unknown]!)) {
      const left = this.values[unknown]! - sumKnown(this.#amounts[unknown]!, attacker)
      // What sums leave of a difference of equals.
      hidden[unknown] = left > SLACK ? left : 0
    }
    return hidden[unknown]!
  }

  /** Asked again and again of the same attackers; not a number where it wasn’t asked yet. */
  #hiddenTo(attacker: Attacker): Float64Array {
    const name = nameOf(attacker)
    const known = this.#hidden.get(name)
    if (known !== undefined) return known
    const hidden = new Float64Array(this.values.length).fill(Number.NaN)
    this.#hidden.set(name, hidden)
    return hidden
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

  /** Every firm and customer who knows something of an unknown, and every firm with a customer. */
  *thoseWhoKnow(unknown: number): Generator<Attacker> {
    const { byFirm, byTold } = this.#amounts[unknown]!
    const customers = [...byTold.keys()].filter((name) => name.startsWith(customerNamed('')))
    for (const firm of byFirm.keys()) {
      yield { firm }
      for (const customer of customers) yield { firm, told: [customer] }
    }
    for (const customer of customers) yield { told: [customer] }
  }

  /** The plants that hold most of some unknowns beside what a firm knows, the largest first. */
  largestPlants(unknowns: readonly number[], firm: string | undefined, count: number): string[] {
    const held = new Map<string, number>()
    for (const unknown of unknowns) {
      const { byTold, byBoth } = this.#amounts[unknown]!
      for (const [name, value] of byTold) {
        if (!name.startsWith(plantNamed(''))) continue
        addTo(held, name, value - (firm === undefined ? 0 : (byBoth.get(both(firm, name)) ?? 0)))
      }
    }
    return [...held]
      .filter(([, value]) => value > SLACK)
      .sort(([, a], [, b]) => b - a)
      .slice(0, count)
      .map(([name]) => name)
  }
}
