/**
 * Chance that can be had again: the same seed and the same names give the same draws, in any order of use.
 *
 * The generator is that of pure-rand, which fast-check rests on too; it saves one of our own with its tests. To leave it
 * is to write xoroshiro128+ here, in some twenty lines.
 */
import { uniformFloat64 } from 'pure-rand/distribution/uniformFloat64'
import { xoroshiro128plusFromState } from 'pure-rand/generator/xoroshiro128plus'
import type { RandomGenerator } from 'pure-rand/types/RandomGenerator'

/** FNV-1a over the characters, from one of several beginnings. */
function hash(text: string, beginning: number): number {
  let h = beginning
  for (let i = 0; i < text.length; i++) h = Math.imul(h ^ text.charCodeAt(i), 0x01000193)
  // Finished as in MurmurHash3, so that names that differ in one digit differ in every bit.
  h = Math.imul(h ^ (h >>> 16), 0x85ebca6b)
  h = Math.imul(h ^ (h >>> 13), 0xc2b2ae35)
  return (h ^ (h >>> 16)) | 0
}

const BEGINNINGS = [0x811c9dc5, 0x1b873593, 0x9e3779b9, 0x2545f491] as const

export class Random {
  readonly #name: string
  readonly #generator: RandomGenerator

  constructor(name: string) {
    this.#name = name
    // All 128 bits of the state: with 32, two of a million visits would be drawn alike.
    this.#generator = xoroshiro128plusFromState(BEGINNINGS.map((beginning) => hash(name, beginning)))
  }

  /** Chance of its own for one thing, that does not depend on what else is drawn. */
  of(...names: readonly (string | number)[]): Random {
    return new Random(`${this.#name}/${names.join('/')}`)
  }

  /** Evenly between two numbers. */
  between(low: number, high: number): number {
    return low + (high - low) * uniformFloat64(this.#generator)
  }

  /** Evenly within ± a half-width. */
  within(halfWidth: number): number {
    return this.between(-halfWidth, halfWidth)
  }

  /** A whole number from `low` to `high`, both included. */
  whole(low: number, high: number): number {
    return Math.floor(this.between(low, high + 1))
  }

  /** True in this share of draws. */
  happens(share: number): boolean {
    return uniformFloat64(this.#generator) < share
  }

  /** Normally about zero, by the polar form of Box and Muller. */
  normal(deviation: number): number {
    return deviation * Math.sqrt(-2 * Math.log(1 - this.between(0, 1))) * Math.cos(2 * Math.PI * this.between(0, 1))
  }

  /** Above zero with this median; the logarithm deviates by `spread`. */
  lognormal(median: number, spread: number): number {
    return median * Math.exp(this.normal(spread))
  }

  pick<T>(choices: readonly T[]): T {
    if (choices.length === 0) throw new RangeError('There is nothing to pick from: the list of choices is empty.')
    return choices[this.whole(0, choices.length - 1)]!
  }

  /** One of the choices, each as likely as its weight says. */
  weighted<T extends string>(weights: Readonly<Record<T, number>>): T {
    const choices = Object.entries(weights) as [T, number][]
    let left = this.between(
      0,
      choices.reduce((sum, [, weight]) => sum + weight, 0),
    )
    for (const [choice, weight] of choices) {
      left -= weight
      if (left < 0) return choice
    }
    return choices.at(-1)![0]
  }
}
