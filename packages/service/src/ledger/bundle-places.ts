/** How many large bundles are under way at once: they take long, and their readers decide how long. */
import type { ServerResponse } from 'node:http'
import { Problem } from '../http/problem.ts'

/** In this process at most, and of one key. */
export const PLACES_MAX = { all: 8, ofKey: 2 }

export class BundlePlaces {
  readonly #byKey = new Map<string, number>()
  #taken = 0

  get taken(): number {
    return this.#taken
  }

  /** Takes a place until the response is closed, also by a caller who goes away. Throws `overloaded` where there is none. */
  take(keyId: string, response: ServerResponse): void {
    const own = this.#byKey.get(keyId) ?? 0
    if (own >= PLACES_MAX.ofKey) throw noPlace(`This key has ${own} bundles under way`)
    if (this.#taken >= PLACES_MAX.all) throw noPlace('As many bundles are under way as can be sent at once')
    this.#taken += 1
    this.#byKey.set(keyId, own + 1)
    response.once('close', () => this.#leave(keyId))
  }

  #leave(keyId: string): void {
    this.#taken -= 1
    const left = this.#byKey.get(keyId)! - 1
    if (left === 0) this.#byKey.delete(keyId)
    else this.#byKey.set(keyId, left)
  }
}

const noPlace = (why: string): Problem =>
  new Problem('overloaded', `${why}; ask again when one has arrived.`, { retryAfterS: 5 })
