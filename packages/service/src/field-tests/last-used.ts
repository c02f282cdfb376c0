/** What was used last, up to a number of bytes in all. */

interface Entry<Value> {
  readonly value: Value
  readonly bytes: number
}

export class LastUsed<Value> {
  readonly #entries = new Map<string, Entry<Value>>()
  readonly #bytesMax: number
  #bytes = 0

  constructor(bytesMax: number) {
    this.#bytesMax = bytesMax
  }

  get bytes(): number {
    return this.#bytes
  }

  get(name: string): Value | undefined {
    const entry = this.#entries.get(name)
    if (entry === undefined) return undefined
    // A map keeps the order of insertion: what was used last goes to the end.
    this.#entries.delete(name)
    this.#entries.set(name, entry)
    return entry.value
  }

  /** Takes a value of that size, and lets go of what was used longest ago. Takes nothing that fills a tenth of all. */
  set(name: string, value: Value, bytes: number): void {
    this.#drop(name)
    if (bytes > this.#bytesMax / 10) return
    this.#entries.set(name, { value, bytes })
    this.#bytes += bytes
    for (const oldest of this.#entries.keys()) {
      if (this.#bytes <= this.#bytesMax) break
      this.#drop(oldest)
    }
  }

  #drop(name: string): void {
    const entry = this.#entries.get(name)
    if (entry === undefined) return
    this.#entries.delete(name)
    this.#bytes -= entry.bytes
  }
}
