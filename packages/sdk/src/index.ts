/** Typed client of the Liftledger API. Only web APIs: Node, Deno, Bun and browsers. */
export { type Answer, ApiPromise } from './answer.ts'
export type { CallOptions, JsonBody, KeyedCallOptions, MatchingCallOptions } from './call.ts'
export { Liftledger, type LiftledgerOptions } from './client.ts'
export type { Clock } from './clock.ts'
export {
  AbortedError,
  AnswerError,
  ApiError,
  ConflictError,
  ConnectionError,
  ForbiddenError,
  InvalidRequestError,
  LiftledgerError,
  NotFoundError,
  NotModifiedError,
  PreconditionError,
  type ProblemCode,
  type ProblemItem,
  RateLimitedError,
  ServerError,
  TimeoutError,
  TooLargeError,
  UnauthenticatedError,
  UnprocessableError,
} from './errors.ts'
export type * from './generated/types.ts'
export type { Logger } from './log.ts'
export { Page, PagePromise } from './page.ts'
export { VERSION } from './version.ts'
