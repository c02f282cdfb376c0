/** Whether to send a request again, and when. */
import { ApiError, ConnectionError, type LiftledgerError } from './errors.ts'

/**
 * What sending a request twice would do. `safe`: nothing more than once. `keyed`: nothing more than once, because
 * the service knows it by its idempotency key. `unkeyed`: create a second one.
 */
export type Repeat = 'safe' | 'keyed' | 'unkeyed'

/** Answers by which the service says that it did nothing: its own time-out for reading, its limits, its overload. */
const NOTHING_DONE = new Set([408, 429, 503])
/** Answers of something in front of the service; what it did is not known. */
const OUTCOME_UNKNOWN = new Set([502, 504])

const RETRY_AFTER_MS_MAX = 60_000
const BACKOFF_MS = 500
const BACKOFF_MS_MAX = 8_000

export function mayRepeat(error: LiftledgerError, repeat: Repeat): boolean {
  if (error instanceof ConnectionError) return repeat !== 'unkeyed'
  if (!(error instanceof ApiError)) return false
  if (NOTHING_DONE.has(error.status)) return true
  if (OUTCOME_UNKNOWN.has(error.status)) return repeat !== 'unkeyed'
  // An earlier try with this very key is still at work; its answer will be this one's.
  return repeat === 'keyed' && (error.status === 500 || error.code === 'idempotency-in-progress')
}

/**
 * How long to wait before the next try, in milliseconds: a random part of 0.5 s, 1 s, 2 s … 8 s, so that many
 * clients cut off at once don't come back at once; but never sooner than the service's `Retry-After`.
 * Undefined if the service asks for more than a minute: that is for the caller to decide.
 *
 * @param tries how often it was sent so far, from 1
 * @param random from 0 to 1
 */
export function waitMs(error: LiftledgerError, tries: number, random: number, nowMs: number): number | undefined {
  const backoffMs = random * Math.min(BACKOFF_MS_MAX, BACKOFF_MS * 2 ** (tries - 1))
  const askedMs = error instanceof ApiError ? (askedToWaitMs(error, nowMs) ?? 0) : 0
  return askedMs > RETRY_AFTER_MS_MAX ? undefined : Math.max(backoffMs, askedMs)
}

// A page on another origin may not see the header, but the problem document says it too.
const askedToWaitMs = ({ headers, problem }: ApiError, nowMs: number): number | undefined =>
  retryAfterMs(headers.get('retry-after'), nowMs) ??
  (problem?.retryAfterS === undefined ? undefined : problem.retryAfterS * 1000)

/** `Retry-After` (RFC 9110, section 10.2.3) in milliseconds: whole seconds, or a date. Undefined if it is neither. */
export function retryAfterMs(header: string | null, nowMs: number): number | undefined {
  const text = header?.trim() ?? ''
  if (/^\d+$/.test(text)) return Number(text) * 1000
  // A date begins with the name of a day; Date.parse alone would also read '-5' or '1.5' as dates.
  const at = /^[A-Z][a-z]+,? /.test(text) ? Date.parse(text) : Number.NaN
  return Number.isNaN(at) ? undefined : Math.max(0, at - nowMs)
}
