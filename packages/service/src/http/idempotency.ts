/**
 * Idempotency-Key: the same key and bytes get the same answer, the same key with other bytes is refused.
 *
 * What is known across processes lies in the database, written in the transaction of the effect; here are the
 * parts that need none: reading the header field, the fingerprint, and joining a repeat that arrives while the
 * first is still at work. After draft-ietf-httpapi-idempotency-key-header-07 (2025), which asks for a quoted
 * string (RFC 8941, 3.3.3); bare tokens are taken too.
 */
import { Problem } from './problem.ts'
import { sha256 } from './sha256.ts'

const KEY_LENGTH_MAX = 128
/** How long a repeat waits for the first before it is told to come again. */
export const WAIT_MS_MAX = 5_000

const BARE = /^[A-Za-z0-9_.:-]{1,128}$/
/** A structured-field string: printable ASCII in quotes, with `\"` and `\\` as its only escapes. */
const QUOTED = /^"((?:[ !#-[\]-~]|\\["\\])*)"$/

/** The key of a header field, quoted or bare; undefined if there is none. Throws `invalid-request` for anything else. */
export function idempotencyKey(field: string | readonly string[] | undefined): string | undefined {
  if (field === undefined) return undefined
  if (typeof field === 'string') {
    const value = field.trim()
    if (BARE.test(value)) return value
    const key = QUOTED.exec(value)?.[1]?.replace(/\\(.)/g, '$1')
    if (key !== undefined && key.length >= 1 && key.length <= KEY_LENGTH_MAX) return key
  }
  throw new Problem('invalid-request', 'The Idempotency-Key field is not a key.', {
    errors: [
      {
        parameter: 'Idempotency-Key',
        code: 'wrong-format',
        message: `Send one key of 1 to ${KEY_LENGTH_MAX} printable characters in quotes, such as a UUID made for this submission.`,
      },
    ],
  })
}

/** What a key was used for: operation, place and the very bytes; another byte is another submission. SHA-256. */
export function fingerprint(use: {
  readonly method: string
  /** Template of the route, so that the id in a path counts by its value only. */
  readonly route: string
  readonly pathValues: readonly string[]
  readonly rawBody: Uint8Array
}): Buffer {
  // The length before each part keeps 'ab' + 'c' apart from 'a' + 'bc'.
  const place = [use.method, use.route, ...use.pathValues].map((part) => `${Buffer.byteLength(part)}:${part}`)
  return sha256(Buffer.from(place.join('')), use.rawBody)
}

/** The key was used for other bytes or another operation; the first use stands. */
export function keyReused(): Problem {
  return new Problem(
    'idempotency-key-reused',
    'This Idempotency-Key was used before, for another body or another operation. What was stored then stands; nothing was stored now.',
  )
}

interface Flight<T> {
  readonly fingerprint: Uint8Array
  readonly outcome: Promise<T>
}

/** Work under way in this process, by owner and key. */
export class InFlight<T> {
  readonly #flights = new Map<string, Flight<T>>()

  /**
   * Runs `work` unless the same owner's key is already at work: then its outcome is waited for, at most `waitMs`.
   * Throws `idempotency-key-reused` if that is for something else, `idempotency-in-progress` if it takes too long.
   */
  async run(
    use: { readonly owner: string; readonly key: string; readonly fingerprint: Uint8Array },
    work: () => Promise<T>,
    waitMs: number = WAIT_MS_MAX,
  ): Promise<{ readonly outcome: T; readonly joined: boolean }> {
    // A space occurs in no owner, so the pair has one spelling.
    const name = `${use.owner} ${use.key}`
    const flight = this.#flights.get(name)
    if (flight !== undefined) {
      if (Buffer.compare(flight.fingerprint, use.fingerprint) !== 0) throw keyReused()
      return { outcome: await within(flight.outcome, waitMs), joined: true }
    }
    const outcome = work()
    this.#flights.set(name, { fingerprint: use.fingerprint, outcome })
    try {
      return { outcome: await outcome, joined: false }
    } finally {
      this.#flights.delete(name)
    }
  }
}

async function within<T>(outcome: Promise<T>, waitMs: number): Promise<T> {
  let timer: NodeJS.Timeout | undefined
  const tooLong = new Promise<never>((_, reject) => {
    timer = setTimeout(() => {
      reject(
        new Problem('idempotency-in-progress', 'The first request with this key has not ended yet.', {
          retryAfterS: 1,
        }),
      )
    }, waitMs)
  })
  try {
    return await Promise.race([outcome, tooLong])
  } finally {
    clearTimeout(timer)
  }
}
