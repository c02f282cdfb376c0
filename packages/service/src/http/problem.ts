/**
 * Problems (RFC 9457): every answer that isn't a success, with one closed list of codes.
 *
 * Slices throw a {@link Problem}; `error-handler.ts` turns it into `application/problem+json`.
 * A message is written for the person who has to mend the request: which member, what was found, what is allowed.
 */
import { type Static, Type } from 'typebox'

interface Entry {
  readonly status: number
  readonly title: string
  /** What the caller does about it; printed on the page behind `type`. */
  readonly remedy: string
}

/** The closed list of codes. Within v1 codes are added, never removed or moved to another status. */
export const CATALOGUE = {
  'malformed-json': {
    status: 400,
    title: 'The body is not acceptable JSON',
    remedy: 'Look at the byte offset given; send each member name once, valid UTF-8, and no more than 32 levels.',
  },
  'invalid-request': {
    status: 400,
    title: 'The request has the wrong shape',
    remedy: 'Mend each place listed in errors and send the request again.',
  },
  'number-out-of-range': {
    status: 400,
    title: 'A number is outside what a double can hold exactly',
    remedy: 'Write the number as it was read; at most 17 significant digits, neither beyond 1.8e308 nor below 5e-324.',
  },
  'invalid-cursor': {
    status: 400,
    title: 'The cursor does not belong to this list',
    remedy: 'Start again without a cursor; keep the filter the same while paging; a cursor lives 24 hours.',
  },
  'malformed-http': {
    status: 400,
    title: 'The request is not valid HTTP',
    remedy: 'Send the request through a common HTTP library.',
  },
  unauthenticated: {
    status: 401,
    title: 'A valid API key is required',
    remedy:
      'Send Authorization: Bearer with a key that is complete, not expired and not revoked, or with a token of the ' +
      'issuer that this service trusts, if it trusts one.',
  },
  forbidden: {
    status: 403,
    title: 'This key may not do that',
    remedy: 'Use a key whose role and scopes allow the operation; detail names the scope.',
  },
  'not-found': {
    status: 404,
    title: 'There is nothing here that this key may see',
    remedy: 'Check the id; what belongs to someone else looks the same as what does not exist.',
  },
  'method-not-allowed': {
    status: 405,
    title: 'The method is not offered here',
    remedy: 'Use one of the methods listed in the Allow field.',
  },
  'not-acceptable': {
    status: 406,
    title: 'The answer is not offered in that form',
    remedy: 'Ask, with Accept, for one of the media types listed in detail.',
  },
  'request-timeout': {
    status: 408,
    title: 'The request took too long to arrive',
    remedy: 'Send it again; with the same Idempotency-Key where it has one.',
  },
  'idempotency-in-progress': {
    status: 409,
    title: 'The same submission is still at work',
    remedy: 'Wait as long as Retry-After says and send it again with the same key.',
  },
  conflict: {
    status: 409,
    title: 'The state of the record does not allow it',
    remedy: 'Read detail; it says what stands in the way.',
  },
  'precondition-failed': {
    status: 412,
    title: 'The record changed since it was read',
    remedy: 'Read the record again, decide anew, and send the change with the ETag of what was read.',
  },
  'too-large': {
    status: 413,
    title: 'The body is too large',
    remedy: 'Stay within the number of bytes given in detail.',
  },
  'unsupported-media-type': {
    status: 415,
    title: 'The body has an unsupported media type',
    remedy: 'Send Content-Type: application/json.',
  },
  'idempotency-key-reused': {
    status: 422,
    title: 'The Idempotency-Key was used for something else',
    remedy: 'Make a new key for another sheet; the first submission stands.',
  },
  'reference-not-found': {
    status: 422,
    title: 'The body names a record that this key may not see',
    remedy: 'Check the code at each pointer; register the record first or ask for access to it.',
  },
  'rate-limited': {
    status: 429,
    title: 'Too many requests in a short time',
    remedy: 'Wait as long as Retry-After says; the RateLimit field of every answer says what is left.',
  },
  'precondition-required': {
    status: 428,
    title: 'A change must say which state it changes',
    remedy: 'Read the record and send its ETag as If-Match, so that nobody’s change is overwritten unseen.',
  },
  'headers-too-large': {
    status: 431,
    title: 'The header fields are too large',
    remedy: 'Stay within 16 kB of header fields.',
  },
  internal: {
    status: 500,
    title: 'Something went wrong on our side',
    remedy: 'Report the requestId; repeat a submission only with the same Idempotency-Key.',
  },
  overloaded: {
    status: 503,
    title: 'Too much is waiting',
    remedy: 'Nothing was stored. Wait as long as Retry-After says.',
  },
  'database-unavailable': {
    status: 503,
    title: 'The database does not answer',
    remedy: 'Wait as long as Retry-After says; repeat a submission with the same Idempotency-Key.',
  },
  'issuer-unavailable': {
    status: 503,
    title: 'The issuer of tokens does not answer',
    remedy: 'Wait as long as Retry-After says, or use an API key. Nothing was stored.',
  },
  'not-ready': {
    status: 503,
    title: 'This process should not be sent requests',
    remedy: 'The detail names what is wrong; its operator has to mend it.',
  },
  stopping: {
    status: 503,
    title: 'The service is stopping',
    remedy: 'Send it again; another process will answer.',
  },
  timeout: {
    status: 504,
    title: 'The work did not end in time',
    remedy: 'The outcome is unknown: repeat with the same Idempotency-Key.',
  },
} as const satisfies Record<string, Entry>

export type ProblemCode = keyof typeof CATALOGUE
export const PROBLEM_CODES = Object.keys(CATALOGUE) as ProblemCode[]

/** Codes of a single place within a request. */
export const ITEM_CODES = [
  'missing-member',
  'duplicate-member',
  'unknown-field',
  'unknown-unit',
  'unknown-value',
  'wrong-type',
  'wrong-format',
  'wrong-length',
  'wrong-shape',
  'number-out-of-range',
  'not-visible',
] as const

export const ProblemItem = Type.Object(
  {
    pointer: Type.Optional(
      Type.String({ maxLength: 500, description: 'JSON Pointer (RFC 6901) into the body; empty for the whole body.' }),
    ),
    parameter: Type.Optional(
      Type.String({
        maxLength: 100,
        description: 'Name of the query parameter or header field, where it is not the body.',
      }),
    ),
    code: Type.Enum([...ITEM_CODES], { description: 'What is wrong at this place.' }),
    message: Type.String({ maxLength: 600, description: 'What was found and what is expected.' }),
    allowed: Type.Optional(
      Type.Array(Type.String({ maxLength: 100, description: 'One choice.' }), {
        maxItems: 100,
        description: 'What may stand here.',
      }),
    ),
  },
  { title: 'ProblemItem', description: 'One place that needs attention.', additionalProperties: false },
)
export type ProblemItem = Static<typeof ProblemItem>

export const ProblemDocument = Type.Object(
  {
    type: Type.String({ format: 'uri', maxLength: 300, description: 'Address of a page that explains the code.' }),
    title: Type.String({ maxLength: 100, description: 'What the code means, always the same words.' }),
    status: Type.Integer({ minimum: 400, maximum: 599, description: 'HTTP status.' }),
    code: Type.Enum(PROBLEM_CODES, { description: 'What a program switches on.' }),
    detail: Type.String({ maxLength: 1000, description: 'This case, with what is allowed.' }),
    instance: Type.String({ maxLength: 500, description: 'Path of the request.' }),
    requestId: Type.String({ maxLength: 64, description: 'Id to quote when asking about this answer.' }),
    errors: Type.Optional(
      Type.Array(ProblemItem, { maxItems: 50, description: 'Places that need attention; at most 50 are listed.' }),
    ),
    retryAfterS: Type.Optional(Type.Number({ minimum: 0, description: 'Seconds to wait before repeating.' })),
  },
  { title: 'Problem', description: 'Why the request was not carried out (RFC 9457).', additionalProperties: false },
)
export type ProblemDocument = Static<typeof ProblemDocument>

interface Extras {
  readonly errors?: readonly ProblemItem[]
  readonly retryAfterS?: number
  readonly headers?: Readonly<Record<string, string>>
  /** For the log; never answered. */
  readonly cause?: unknown
}

/** Thrown anywhere in a request; answered as `application/problem+json`. */
export class Problem extends Error {
  readonly code: ProblemCode
  readonly status: number
  readonly errors: readonly ProblemItem[] | undefined
  readonly retryAfterS: number | undefined
  readonly headers: Readonly<Record<string, string>>

  constructor(code: ProblemCode, detail: string, extras: Extras = {}) {
    super(detail, extras.cause === undefined ? undefined : { cause: extras.cause })
    this.name = 'Problem'
    this.code = code
    this.status = CATALOGUE[code].status
    this.errors = extras.errors
    this.retryAfterS = extras.retryAfterS
    this.headers = extras.headers ?? {}
  }
}

/** The same words for what does not exist and for what belongs to someone else, but for the id itself. */
export function notFound(noun: string, id: string): Problem {
  return new Problem('not-found', `There is no ${noun} '${clip(id, 100)}' that this key may see.`)
}

/** The sheet or body names records that are not visible; each item has the pointer of the member. */
export function referenceNotFound(places: readonly { pointer: string; noun: string; code: string }[]): Problem {
  return new Problem('reference-not-found', `${counted(places.length)}; nothing was stored.`, {
    errors: places.slice(0, 50).map(({ pointer, noun, code }) => ({
      pointer,
      code: 'not-visible',
      message: `There is no ${noun} '${clip(code, 60)}' that this key may see.`,
    })),
  })
}

/** `2 places need attention`. */
export function counted(places: number): string {
  return places === 1 ? '1 place needs attention' : `${places} places need attention`
}

/** Text from outside, cut to a length that an answer can carry. */
export function clip(text: string, lengthMax: number): string {
  return text.length <= lengthMax ? text : `${text.slice(0, lengthMax - 1).toWellFormed()}…`
}

/** The document that is sent. `publicUrl` without a slash at its end. */
export function problemDocument(
  problem: Problem,
  request: { publicUrl: string; path: string; id: string },
): ProblemDocument {
  return {
    type: `${request.publicUrl}/problems/${problem.code}`,
    title: CATALOGUE[problem.code].title,
    status: problem.status,
    code: problem.code,
    detail: clip(problem.message, 1000),
    instance: clip(request.path, 500),
    requestId: request.id,
    ...(problem.errors && { errors: [...problem.errors] }),
    ...(problem.retryAfterS !== undefined && { retryAfterS: problem.retryAfterS }),
  }
}
