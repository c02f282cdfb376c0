/**
 * Everything the client throws once a request is under way.
 *
 * LiftledgerError
 * ├─ ApiError, by status: the service answered, with its problem document (RFC 9457)
 * ├─ ConnectionError: no answer, or half of one
 * │  └─ TimeoutError: none in time
 * ├─ AbortedError: the caller's signal
 * └─ AnswerError: an answer that isn't the service's
 */
import type { Problem } from './generated/types.ts'

export type { Problem }
/** What to switch on; closed within a version of the API. */
export type ProblemCode = Problem['code']
/** One place that needs attention. */
export type ProblemItem = NonNullable<Problem['errors']>[number]

/** The request that failed. */
export interface Circumstances {
  /** For example `tests.submit`. */
  readonly operation: string
  /** How often it was sent, this time included. */
  readonly tries: number
  /** To ask again later what became of a submission: send the same body with the same key. */
  readonly idempotencyKey?: string | undefined
}

export interface Refusal {
  readonly status: number
  readonly headers: Headers
  readonly body: unknown
  readonly problem: Problem | undefined
}

export class LiftledgerError extends Error {
  override readonly name: string = 'LiftledgerError'
  readonly operation: string
  readonly tries: number
  readonly idempotencyKey: string | undefined

  constructor(message: string, circumstances: Circumstances, options?: ErrorOptions) {
    const times = circumstances.tries > 1 ? ` (tried ${circumstances.tries} times)` : ''
    super(`${circumstances.operation}: ${message}${times}`, options)
    this.operation = circumstances.operation
    this.tries = circumstances.tries
    this.idempotencyKey = circumstances.idempotencyKey
  }
}

/** The service refused, or failed and said so. */
export class ApiError extends LiftledgerError {
  override readonly name: string = 'ApiError'
  readonly status: number
  readonly headers: Headers
  /** The body as it came: a value if it was JSON, else text. */
  readonly body: unknown
  /** The body if it is a problem document; something between client and service answers in its own way. */
  readonly problem: Problem | undefined
  readonly code: ProblemCode | undefined
  /** What to quote when asking for help. */
  readonly requestId: string | undefined
  /** Places that need attention, each with a JSON Pointer into the body or the name of a parameter. */
  readonly errors: readonly ProblemItem[]

  constructor(answer: Refusal, circumstances: Circumstances) {
    super(describe(answer.status, answer.problem), circumstances)
    this.status = answer.status
    this.headers = answer.headers
    this.body = answer.body
    this.problem = answer.problem
    this.code = answer.problem?.code
    this.requestId = answer.problem?.requestId ?? answer.headers.get('x-request-id') ?? undefined
    this.errors = answer.problem?.errors ?? []
  }

  /** JSON Pointers into the body, in the order of `errors`. */
  get pointers(): string[] {
    return this.errors.flatMap(({ pointer }) => (pointer === undefined ? [] : [pointer]))
  }
}

/** 304: what was asked for is still what `If-None-Match` named; keep what you have. */
export class NotModifiedError extends ApiError {
  override readonly name = 'NotModifiedError'
}
/** 400: the request has the wrong shape; nothing was stored. */
export class InvalidRequestError extends ApiError {
  override readonly name = 'InvalidRequestError'
}
/** 401: no key, or one that isn't known, is over or was revoked. */
export class UnauthenticatedError extends ApiError {
  override readonly name = 'UnauthenticatedError'
}
/** 403: the key's role or scope doesn't reach this operation. */
export class ForbiddenError extends ApiError {
  override readonly name = 'ForbiddenError'
}
/** 404: absent, or someone else's. */
export class NotFoundError extends ApiError {
  override readonly name = 'NotFoundError'
}
/** 409: the present state doesn't allow it. */
export class ConflictError extends ApiError {
  override readonly name = 'ConflictError'
}
/** 412 or 428: changed since it was read, or sent without saying which state it changes. */
export class PreconditionError extends ApiError {
  override readonly name = 'PreconditionError'
}
/** 413: the body is larger than the limit given. */
export class TooLargeError extends ApiError {
  override readonly name = 'TooLargeError'
}
/** 422: names something that isn't there, or uses an idempotency key again for other bytes. */
export class UnprocessableError extends ApiError {
  override readonly name = 'UnprocessableError'
}
/** 429: too many requests; `Retry-After` was longer than the client waits, or tries were used up. */
export class RateLimitedError extends ApiError {
  override readonly name = 'RateLimitedError'
}
/** 500 and above: not the caller's doing. */
export class ServerError extends ApiError {
  override readonly name = 'ServerError'
}

/** The connection failed; whether the request was carried out is not known. */
export class ConnectionError extends LiftledgerError {
  override readonly name: string = 'ConnectionError'
}
/** No answer in time; whether the request was carried out is not known. */
export class TimeoutError extends ConnectionError {
  override readonly name = 'TimeoutError'
}
/** The caller's signal ended it; `cause` is the signal's reason. */
export class AbortedError extends LiftledgerError {
  override readonly name = 'AbortedError'
}
/** Something answered that doesn't speak for the service: a redirect, or a success that isn't JSON. */
export class AnswerError extends LiftledgerError {
  override readonly name = 'AnswerError'
}

const BY_STATUS: Readonly<Record<number, typeof ApiError>> = {
  400: InvalidRequestError,
  401: UnauthenticatedError,
  403: ForbiddenError,
  404: NotFoundError,
  409: ConflictError,
  412: PreconditionError,
  413: TooLargeError,
  422: UnprocessableError,
  428: PreconditionError,
  429: RateLimitedError,
}

/** The class for a status. */
export const errorClassOf = (status: number): typeof ApiError =>
  BY_STATUS[status] ?? (status >= 500 ? ServerError : ApiError)

function describe(status: number, problem: Problem | undefined): string {
  if (status === 304) return 'unchanged since it was read (304)'
  if (problem === undefined) return `the answer was ${status}, without a problem document`
  const places = (problem.errors ?? [])
    .slice(0, 3)
    .map(({ pointer, parameter, message }) => `\n  ${pointer || parameter || 'body'}: ${message}`)
  const more = (problem.errors?.length ?? 0) - places.length
  return `${status} ${problem.code}: ${problem.detail}${places.join('')}${more > 0 ? `\n  and ${more} more` : ''}`
}
