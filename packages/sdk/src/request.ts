/**
 * A call, sent until it is answered, refused or given up.
 *
 * An answer is read to its end within a try: cut off half-way it counts as no answer, and is asked for again under
 * the same idempotency key.
 */
import { type Answer, ApiPromise } from './answer.ts'
import { type AnyCallOptions, type Call, type CallOptions, type Prepared, prepare, type Sender } from './call.ts'
import { type Clock, type Deadline, deadline } from './clock.ts'
import { endOfLife } from './end-of-life.ts'
import {
  AbortedError,
  AnswerError,
  type Circumstances,
  ConnectionError,
  LiftledgerError,
  TimeoutError,
} from './errors.ts'
import type { Logger } from './log.ts'
import { Page, PagePromise, type WirePage } from './page.ts'
import { readResponse } from './response.ts'
import { mayRepeat, waitMs } from './retry.ts'

export interface Settings extends Sender {
  readonly fetch: typeof globalThis.fetch
  readonly timeoutMs: number
  readonly totalTimeoutMs: number
  readonly retries: number
  readonly logger: Logger | undefined
  readonly clock: Clock
}

export class Requester {
  readonly #settings: Settings

  constructor(settings: Settings) {
    this.#settings = settings
  }

  send<T>(call: Call, options: AnyCallOptions = {}): ApiPromise<T> {
    return new ApiPromise(this.#run<T>(call, options))
  }

  list<T, Whole extends WirePage<T> = WirePage<T>>(call: Call, options: CallOptions = {}): PagePromise<T, Whole> {
    return new PagePromise(this.#page<T, Whole>(call, options))
  }

  async #page<T, Whole extends WirePage<T>>(call: Call, options: CallOptions): Promise<Answer<Page<T, Whole>>> {
    const answer = await this.#run<Whole>(call, options)
    const { cursor: here }: { cursor?: unknown } = { ...call.query }
    if (answer.data.next !== undefined && answer.data.next === here) {
      const circumstances = { operation: call.operation, tries: 1 }
      throw new AnswerError('the next page has the same cursor as this one, so the list would never end', circumstances)
    }
    const load = (cursor: string) => this.list<T, Whole>({ ...call, query: { ...call.query, cursor } }, options)
    return { ...answer, data: new Page(answer.data, load) }
  }

  async #run<T>(call: Call, options: AnyCallOptions): Promise<Answer<T>> {
    const { clock, logger } = this.#settings
    const { retries = this.#settings.retries, totalTimeoutMs = this.#settings.totalTimeoutMs } = options
    const prepared = prepare(call, options, this.#settings, clock.now())
    const endsAt = clock.now() + totalTimeoutMs
    const total = deadline(totalTimeoutMs, options.signal)
    try {
      for (let tries = 1; ; tries += 1) {
        const circumstances = { operation: call.operation, tries, idempotencyKey: prepared.idempotencyKey }
        const explain = (failure: unknown) => explainFailure(failure, circumstances, total, options.signal)
        try {
          return await this.#try<T>(call, prepared, circumstances, total.signal, options)
        } catch (failure) {
          const error = explain(failure)
          // Written so that a `retries` that is no number ends the call rather than never.
          if (!(tries <= retries) || !mayRepeat(error, call.repeat ?? 'safe')) throw error
          const ms = waitMs(error, tries, clock.random(), clock.now())
          // A wait that would outlast the call could only lose the reason for it.
          if (ms === undefined || clock.now() + ms >= endsAt) throw error
          logger?.debug(`${call.operation}: again in ${Math.round(ms)} ms`, { tries, because: error.message })
          await clock.sleep(ms, total.signal).catch((reason: unknown) => {
            throw explain(reason)
          })
        }
      }
    } finally {
      total.release()
    }
  }

  async #try<T>(
    call: Call,
    { url, init }: Prepared,
    circumstances: Circumstances,
    outer: AbortSignal,
    { timeoutMs = this.#settings.timeoutMs }: CallOptions,
  ): Promise<Answer<T>> {
    // Taken off its object, because a browser's own fetch refuses to be called as anything's method.
    const { fetch, clock, logger } = this.#settings
    const own = deadline(timeoutMs, outer)
    const startedAt = clock.now()
    try {
      const response = await fetch(url, { ...init, signal: own.signal })
      const { data, bytes } = await readResponse(response, call, circumstances)
      // One answer is logged here, refusals by whoever catches them or by the next try.
      const field = (name: string) => response.headers.get(name) ?? undefined
      const [requestId, etag] = [field('x-request-id'), field('etag')]
      const replayed = field('idempotent-replayed') === 'true'
      logger?.debug(`${call.operation}: ${call.method} ${url}`, {
        status: response.status,
        requestId,
        replayed,
        ms: clock.now() - startedAt,
        ...endOfLife(response.headers),
      })
      return { data: data as T, bytes, response, etag, requestId, replayed }
    } catch (failure) {
      if (own.passed()) throw new TimeoutError(`no answer within ${timeoutMs} ms`, circumstances, { cause: failure })
      throw failure
    } finally {
      own.release()
    }
  }
}

function explainFailure(
  failure: unknown,
  circumstances: Circumstances,
  total: Deadline,
  signal: AbortSignal | undefined,
): LiftledgerError {
  if (failure instanceof LiftledgerError) return failure
  if (total.passed())
    return new TimeoutError('no answer within the time for all tries', circumstances, { cause: failure })
  if (signal?.aborted) return new AbortedError('ended by its caller', circumstances, { cause: signal.reason })
  return new ConnectionError(`the connection failed: ${reasonOf(failure)}`, circumstances, { cause: failure })
}

/** Node says only "fetch failed" and keeps the reason one or two causes deeper. */
function reasonOf(failure: unknown): string {
  let reason: unknown = failure
  while (reason instanceof Error && reason.cause instanceof Error) reason = reason.cause
  if (reason instanceof AggregateError && reason.errors[0] instanceof Error) reason = reason.errors[0]
  return reason instanceof Error ? reason.message : String(reason)
}
