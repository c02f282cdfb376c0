/** Several ordered streams read side by side: for each key, what every stream has of it. */

type Stream<R> = AsyncIterator<R, unknown>

/** One stream with its next row in hand. */
class Side<R extends { readonly of: string | null }> {
  readonly #rows: Stream<R>
  #next: R | undefined

  constructor(rows: AsyncIterable<R>) {
    this.#rows = rows[Symbol.asyncIterator]()
  }

  async advance(): Promise<void> {
    const { done, value } = await this.#rows.next()
    this.#next = done ? undefined : (value as R)
  }

  get key(): string | undefined {
    return this.#next === undefined ? undefined : (this.#next.of ?? '')
  }

  /** All rows with this key. */
  async take(key: string): Promise<R[]> {
    const taken: R[] = []
    while (this.#next !== undefined && this.key === key) {
      taken.push(this.#next)
      await this.advance()
    }
    return taken
  }
}

type Rows<S> = { readonly [K in keyof S]: S[K] extends AsyncIterable<infer R> ? readonly R[] : never }

/**
 * Groups rows by their member `of`, which each stream must be ordered by, as text by code units. Only the rows of one
 * key are held at a time.
 */
export async function* merged<S extends Readonly<Record<string, AsyncIterable<{ readonly of: string | null }>>>>(
  streams: S,
): AsyncGenerator<{ readonly of: string } & Rows<S>> {
  const sides = Object.entries(streams).map(([name, rows]) => [name, new Side(rows)] as const)
  for (const [, side] of sides) await side.advance()
  for (;;) {
    const keys = sides.map(([, side]) => side.key).filter((key) => key !== undefined)
    if (keys.length === 0) return
    // By code units, as the database orders ids.
    const of = keys.toSorted()[0]!
    const group: Record<string, unknown> = { of }
    for (const [name, side] of sides) group[name] = await side.take(of)
    yield group as { readonly of: string } & Rows<S>
  }
}
