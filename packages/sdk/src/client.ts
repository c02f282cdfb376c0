/** The client: its options, and the operations by noun. */
import { type Clock, systemClock } from './clock.ts'
import { Operations } from './generated/operations.ts'
import { type Logger, redacting } from './log.ts'
import { Requester, type Settings } from './request.ts'
import { inPage, userAgent } from './runtime.ts'

export interface LiftledgerOptions {
  /** Where the service is, for example `https://tests.example.org`; a path in front of `/v1` is kept. */
  readonly baseUrl: string | URL
  /** Sent as a bearer token. Only what is public can be asked without one. */
  readonly apiKey?: string
  /** Time for one try, in milliseconds; 30,000 if not given. */
  readonly timeoutMs?: number
  /** Time for all tries of a call and the waits between them, in milliseconds; 120,000 if not given. */
  readonly totalTimeoutMs?: number
  /** Tries after the first; 3 if not given. */
  readonly retries?: number
  /** In place of the platform's own, for a proxy, a recorder or a test. */
  readonly fetch?: typeof globalThis.fetch
  /** Told of every answer and every wait, without keys and bodies; for example `console`. */
  readonly logger?: Logger
  /** Says that the page this runs in is meant to hold the key, and silences the warning. */
  readonly allowKeyInPage?: boolean
  /** In place of the platform's time and chance, for a test. */
  readonly clock?: Clock
}

/**
 * ```ts
 * const client = new Liftledger({ baseUrl: 'https://tests.example.org', apiKey })
 * const test = await client.tests.submit(sheet)
 * ```
 */
export class Liftledger extends Operations {
  /** @throws TypeError naming the option and what it may be. */
  constructor(options: LiftledgerOptions) {
    const settings = settingsFrom(options)
    super(new Requester(settings))
    if (settings.apiKey !== undefined && inPage() && !options.allowKeyInPage) {
      const tell = settings.logger ?? console
      tell.warn(
        'Liftledger: an API key in a page can be read by everyone who opens it; call the service from your own server.',
      )
    }
  }
}

function settingsFrom(options: LiftledgerOptions): Settings {
  const { fetch = (...args) => globalThis.fetch(...args), clock = systemClock, logger } = options
  return {
    baseUrl: checkedUrl(options.baseUrl),
    apiKey: checkedKey(options.apiKey),
    userAgent: userAgent(),
    fetch,
    clock,
    logger: logger && redacting(logger),
    timeoutMs: checkedNumber('timeoutMs', options.timeoutMs ?? 30_000, 1),
    totalTimeoutMs: checkedNumber('totalTimeoutMs', options.totalTimeoutMs ?? 120_000, 1),
    retries: checkedNumber('retries', options.retries ?? 3, 0),
  }
}

function checkedUrl(baseUrl: string | URL): string {
  const url = URL.canParse(baseUrl) ? new URL(baseUrl) : undefined
  const plain = url && [url.username, url.password, url.search, url.hash].every((part) => part === '')
  if (!plain || !/^https?:$/.test(url.protocol)) {
    throw new TypeError(
      'baseUrl must be a whole http or https address without credentials, query or fragment, for example https://tests.example.org.',
    )
  }
  return `${url.origin}${url.pathname.replace(/\/+$/, '')}`
}

function checkedKey(apiKey: string | undefined): string | undefined {
  // What was found isn't said, because it may be a key with a stray character.
  if (apiKey === undefined || /^[\x21-\x7e]+$/.test(apiKey)) return apiKey
  throw new TypeError('apiKey must be printable ASCII without spaces or line breaks; was it read with its line end?')
}

function checkedNumber(name: string, value: number, least: number): number {
  if (value >= least) return value
  throw new TypeError(`${name} must be a number of at least ${least}, found ${value}.`)
}
