/** Chance that can be repeated: the same seed draws the same trials. */

export class Chance {
  #state: number

  constructor(seed: number) {
    this.#state = seed >>> 0
  }

  /** From 0 up to, without, 1 (mulberry32, a published generator of 32 bits). */
  share(): number {
    this.#state = (this.#state + 0x6d2b79f5) >>> 0
    let t = this.#state
    t = Math.imul(t ^ (t >>> 15), t | 1)
    t ^= t + Math.imul(t ^ (t >>> 7), t | 61)
    return ((t ^ (t >>> 14)) >>> 0) / 2 ** 32
  }

  /** A whole number from 0 up to, without, n. */
  below(n: number): number {
    return Math.floor(this.share() * n)
  }

  of<T>(items: readonly T[]): T {
    const item = items[this.below(items.length)]
    if (item === undefined) throw new Error('There is nothing to draw from.')
    return item
  }
}
