/**
 * How often one may ask: a bucket of tokens for each caller, in memory. A request takes one, time puts them back.
 *
 * Each process keeps its own buckets, so that the quota is divided by the number of processes. A full bucket is
 * the same as none, hence what is forgotten when there are too many is what was not used for longest.
 */

/** Seconds of the policy that is announced. */
export const WINDOW_S = 60

export interface Quota {
  /** Requests in {@link WINDOW_S} seconds; also what a full bucket holds. */
  readonly perMinute: number
  /** Buckets kept at most. */
  readonly bucketsMax: number
}

export interface Level {
  readonly allowed: boolean
  /** Whole requests left. */
  readonly left: number
  /** Seconds until one more is there; 0 if there is one. */
  readonly nextS: number
  /** Seconds until the bucket is full. */
  readonly fullS: number
}

interface Bucket {
  tokens: number
  atMs: number
}

export class Buckets {
  readonly quota: Quota
  readonly #now: () => Date
  readonly #buckets = new Map<string, Bucket>()

  constructor(quota: Quota, now: () => Date) {
    this.quota = quota
    this.#now = now
  }

  /** Takes one, if there is one. */
  take(name: string): Level {
    const bucket = this.#filled(name)
    const allowed = bucket.tokens >= 1
    if (allowed) bucket.tokens -= 1
    // Moved to the end: first comes what was not used for longest.
    this.#buckets.delete(name)
    this.#buckets.set(name, bucket)
    if (this.#buckets.size > this.quota.bucketsMax) this.#buckets.delete(this.#buckets.keys().next().value!)
    return this.#level(bucket, allowed)
  }

  /** What is there, nothing taken. */
  look(name: string): Level {
    const bucket = this.#filled(name)
    return this.#level(bucket, bucket.tokens >= 1)
  }

  get size(): number {
    return this.#buckets.size
  }

  #filled(name: string): Bucket {
    const atMs = this.#now().getTime()
    const { perMinute } = this.quota
    const known = this.#buckets.get(name)
    if (known === undefined) return { tokens: perMinute, atMs }
    // A clock set back puts nothing in and takes nothing out.
    const elapsedS = Math.max(0, atMs - known.atMs) / 1000
    return { tokens: Math.min(perMinute, known.tokens + (elapsedS * perMinute) / WINDOW_S), atMs }
  }

  #level({ tokens }: Bucket, allowed: boolean): Level {
    const perSecond = this.quota.perMinute / WINDOW_S
    return {
      allowed,
      left: Math.floor(tokens),
      nextS: tokens >= 1 ? 0 : (1 - tokens) / perSecond,
      fullS: (this.quota.perMinute - tokens) / perSecond,
    }
  }
}

/** This process's share of a quota for all of them; at least one a minute. */
export function shareOf(perMinute: number, processes: number): number {
  return Math.max(1, Math.floor(perMinute / processes))
}

/** Fields after draft-ietf-httpapi-ratelimit-headers-11 (2026, work in progress); what clients may rely on is Retry-After. */
export function rateLimitFields(name: string, { perMinute }: Quota, level: Level): Record<string, string> {
  return {
    'ratelimit-policy': `"${name}";q=${perMinute};w=${WINDOW_S}`,
    ratelimit: `"${name}";r=${level.left};t=${Math.ceil(level.fullS)}`,
  }
}
