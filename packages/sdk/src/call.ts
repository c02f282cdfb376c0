/** One operation with its arguments, and the request it becomes. */
import type { Repeat } from './retry.ts'
import { uuidV7 } from './uuid.ts'

/** A body as a value, or as JSON text that is sent byte for byte, so that `23.50` stays `23.50`. */
export type JsonBody<T> = T | string | Uint8Array

/** What one call may set; what it leaves out is as the client was made. */
export interface CallOptions {
  readonly signal?: AbortSignal | undefined
  /** Time for one try, in milliseconds. */
  readonly timeoutMs?: number | undefined
  /** Time for all tries and the waits between them, in milliseconds; for a list, of each page. */
  readonly totalTimeoutMs?: number | undefined
  /** Tries after the first. */
  readonly retries?: number | undefined
  readonly headers?: Readonly<Record<string, string>> | undefined
}

export interface KeyedCallOptions extends CallOptions {
  /**
   * Fixes the idempotency key, so that the same submission can be sent again after a restart of the program.
   * 1 to 128 of `A-Z a-z 0-9 _ . : -`, also in quotes as in the header field; made by the client if absent.
   */
  readonly idempotencyKey?: string | undefined
}

export interface MatchingCallOptions extends CallOptions {
  /** The `etag` of the record as it was read; it is changed only if it is still so, else this fails with 412. */
  readonly ifMatch: string
}

/** All that any call may set. */
export interface AnyCallOptions extends KeyedCallOptions {
  readonly ifMatch?: string | undefined
}

/** One operation with its arguments, as the generated methods give it. */
export interface Call {
  /** For example `tests.submit`. */
  readonly operation: string
  readonly method: string
  readonly path: string
  readonly query?: object | undefined
  readonly body?: unknown
  readonly contentType?: string
  /** What a success holds; JSON if not given. */
  readonly answer?: 'json' | 'text' | 'bytes' | 'none'
  /** `safe` if not given. */
  readonly repeat?: Repeat
  /** Sent without the key, because anyone may ask. */
  readonly anonymous?: boolean
}

export interface Sender {
  /** Without a slash at its end. */
  readonly baseUrl: string
  readonly apiKey: string | undefined
  readonly userAgent: string | undefined
}

export interface Prepared {
  readonly url: string
  readonly init: RequestInit
  readonly idempotencyKey: string | undefined
}

const ACCEPT = {
  json: 'application/json',
  text: 'text/*, application/x-ndjson',
  bytes: '*/*',
  none: 'application/json',
}

/**
 * Url, headers and body, made once and sent as often as it takes.
 *
 * @throws TypeError if the idempotency key, a header or the body can't be sent.
 */
export function prepare(call: Call, options: AnyCallOptions, sender: Sender, nowMs: number): Prepared {
  const headers = new Headers({ accept: ACCEPT[call.answer ?? 'json'] })
  const idempotencyKey = call.repeat === 'keyed' ? checkedKey(options.idempotencyKey ?? uuidV7(nowMs)) : undefined
  if (sender.apiKey !== undefined && !call.anonymous) headers.set('authorization', `Bearer ${sender.apiKey}`)
  if (sender.userAgent !== undefined) headers.set('user-agent', sender.userAgent)
  // A structured-field string, hence the quotes (draft-ietf-httpapi-idempotency-key-header-07).
  if (idempotencyKey !== undefined) headers.set('idempotency-key', `"${idempotencyKey}"`)
  if (call.body !== undefined) headers.set('content-type', call.contentType ?? 'application/json')
  if (options.ifMatch !== undefined) headers.set('if-match', options.ifMatch)
  for (const [name, value] of Object.entries(options.headers ?? {})) headers.set(name, value)
  return {
    url: `${sender.baseUrl}${call.path}${encodeQuery(call.query)}`,
    idempotencyKey,
    // A redirected POST arrives as a GET, and its 200 would look like a submission that was kept.
    init: {
      method: call.method,
      headers,
      redirect: 'manual',
      ...(call.body === undefined ? {} : { body: encode(call.body) }),
    },
  }
}

/** The key itself, also where it was given as it stands in a header field, in quotes (RFC 8941, 3.3.3). */
function checkedKey(key: string): string {
  const bare = /^"(.*)"$/.exec(key)?.[1] ?? key
  if (/^[A-Za-z0-9_.:-]{1,128}$/.test(bare)) return bare
  throw new TypeError(
    `idempotencyKey must be 1 to 128 of A-Z a-z 0-9 _ . : -, with or without quotes around; found ${JSON.stringify(key)}.`,
  )
}

const encode = (body: unknown): string | Uint8Array<ArrayBuffer> =>
  typeof body === 'string' ? body : body instanceof Uint8Array ? new Uint8Array(body) : JSON.stringify(body)

/** `?a=1&b=2&b=3`: what is undefined is left out, a list repeats its name. */
function encodeQuery(query: object | undefined): string {
  const pairs = Object.entries(query ?? {}).flatMap(([name, value]: [string, unknown]) =>
    (Array.isArray(value) ? value : [value]).filter((one) => one !== undefined).map((one) => [name, String(one)]),
  )
  return pairs.length === 0 ? '' : `?${new URLSearchParams(pairs)}`
}
