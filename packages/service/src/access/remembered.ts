/**
 * Credentials looked up lately, remembered for seconds.
 *
 * The database tells of every change (`ll_credential`); the short life is for the day when word gets lost. While
 * nobody listens, the life is one second, so that an ended credential works nowhere longer than that.
 */

const LIFE_MS = 5_000
const LIFE_UNHEARD_MS = 1_000
const ENTRIES_MAX = 10_000

interface Entry<Row> {
  readonly atMs: number
  readonly row: Promise<Row | undefined>
}

export class Remembered<Row extends { readonly id: string }> {
  readonly #entries = new Map<string, Entry<Row>>()
  readonly #ask: (name: string) => Promise<Row | undefined>
  readonly #listening: () => boolean

  /** `ask` is the query; `listening` says whether word of a change would arrive. */
  constructor(ask: (name: string) => Promise<Row | undefined>, listening: () => boolean) {
    this.#ask = ask
    this.#listening = listening
  }

  /** The row of that name, remembered or asked for. Neither a failure nor an absence is remembered. */
  find(name: string, nowMs: number): Promise<Row | undefined> {
    const known = this.#entries.get(name)
    const lifeMs = this.#listening() ? LIFE_MS : LIFE_UNHEARD_MS
    if (known !== undefined && nowMs >= known.atMs && nowMs - known.atMs < lifeMs) return known.row
    const entry: Entry<Row> = { atMs: nowMs, row: this.#ask(name) }
    this.#entries.delete(name)
    this.#entries.set(name, entry)
    // The oldest goes first: a map keeps the order of insertion.
    if (this.#entries.size > ENTRIES_MAX) this.#entries.delete(this.#entries.keys().next().value!)
    const drop = (): void => {
      if (this.#entries.get(name) === entry) this.#entries.delete(name)
    }
    entry.row.then((row) => row === undefined && drop(), drop)
    return entry.row
  }

  /** Whether the name was found lately, be it that its life is over. */
  has(name: string): boolean {
    return this.#entries.has(name)
  }

  forget(name: string): void {
    this.#entries.delete(name)
  }

  clear(): void {
    this.#entries.clear()
  }
}
