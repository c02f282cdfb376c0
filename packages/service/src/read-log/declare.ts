/**
 * What each operation on test data leaves in the read log: declared with its route, written beside its answer.
 *
 * A route that is called with a scope named here and declares nothing fails at start, so that none is forgotten.
 */
import { canonicalJson } from '@liftledger/ledger'
import type { FastifyInstance, FastifyRequest, onSendHookHandler } from 'fastify'
import { Problem } from '../http/problem.ts'
import type { ReadLog } from './gather.ts'
import type { Read } from './rows.ts'

/** What a successful answer of an operation is a read of. */
export type ReadOf =
  /** One test, or one plant’s tests, named by the path. */
  | { readonly of: 'test' }
  | { readonly of: 'plant' }
  /** A list: one row with the filter and how many items were answered. */
  | { readonly of: 'list' }
  /** Many tests, which the operation names in `request.testsRead`: one row each. */
  | { readonly of: 'tests' }
  | { readonly of: 'nothing'; readonly because: string }

declare module 'fastify' {
  interface FastifyContextConfig {
    /** What a successful answer is a read of. Required where the scope is one of test data. */
    readLog?: ReadOf
  }
  interface FastifyRequest {
    /** UUIDs of the tests that the answer holds; set by operations whose reads are of `tests`. */
    testsRead: readonly string[] | undefined
  }
}

/** Scopes with which tests, and what stands beside them, are read. */
export const SCOPES_OF_READS: readonly string[] = ['tests:read', 'notes:read']

/** Must come before any slice, and after caching: an answer is written down before it is tagged. */
export function registerReadLog(app: FastifyInstance, log: ReadLog, now: () => Date): void {
  app.decorateRequest('testsRead', undefined)
  app.decorateReply('itemCount', undefined)
  app.addHook('onRoute', (route) => {
    const { access, readLog } = route.config ?? {}
    const isOfTests = access !== undefined && access !== 'public' && SCOPES_OF_READS.includes(access.scope)
    if (isOfTests && readLog === undefined) {
      throw new Error(
        `Route ${route.method} ${route.url} is called with ${access.scope}: it must declare config.readLog.`,
      )
    }
    if (readLog === undefined || readLog.of === 'nothing') return
    route.onSend = [writeDown(log, now, readLog.of, route.schema?.operationId ?? ''), route.onSend ?? []].flat()
  })
}

type Logged = Exclude<ReadOf['of'], 'nothing'>

/**
 * A firm’s reads of what is its own are written down a moment later. Whatever else is read is another’s: then the answer
 * waits until the row is stored, and where it can’t be there is no answer.
 */
function writeDown(log: ReadLog, now: () => Date, of: Logged, operation: string): onSendHookHandler {
  return (request, reply, payload, done) => {
    if (reply.statusCode !== 200) {
      done(null, payload)
      return
    }
    const reads = readsOf(request, reply.itemCount, { at: now(), of, operation })
    if (request.principal.role === 'firm' && of !== 'plant') {
      log.note(reads)
      done(null, payload)
      return
    }
    log.store(reads).then(
      () => done(null, payload),
      (cause: unknown) => {
        // The file that nobody gets any more.
        if (isStream(payload)) payload.destroy()
        done(notOnRecord(cause))
      },
    )
  }
}

const isStream = (payload: unknown): payload is { destroy(): void } =>
  typeof payload === 'object' && payload !== null && 'destroy' in payload && typeof payload.destroy === 'function'

function notOnRecord(cause: unknown): Problem {
  const code = cause instanceof Problem && cause.code === 'overloaded' ? 'overloaded' : 'database-unavailable'
  const problem = new Problem(
    code,
    'Who reads the tests of others is written down before the answer, and that could not be done; ask again.',
    { retryAfterS: 1 },
  )
  problem.cause = cause
  return problem
}

interface Occasion {
  readonly at: Date
  readonly of: Logged
  readonly operation: string
}

function readsOf(request: FastifyRequest, itemCount: number | undefined, { at, of, operation }: Occasion): Read[] {
  const { principal, id } = request
  const by = { at, principal, operation, requestId: id }
  const params = request.params as { readonly testId?: string; readonly plantId?: string }
  switch (of) {
    case 'test':
      return [{ ...by, test: params.testId! }]
    case 'plant':
      return [{ ...by, plant: params.plantId! }]
    case 'tests':
      return (request.testsRead ?? []).map((testUuid) => ({ ...by, testUuid }))
    case 'list':
      return [{ ...by, filter: filterOf(request), count: itemCount ?? 0 }]
  }
}

/** The query of a list without what names a page of it, and the rest of a path that ends in `*`. */
function filterOf({ query, params }: FastifyRequest): string {
  const { cursor: _cursor, limit: _limit, ...filter } = query as Readonly<Record<string, unknown>>
  const rest = (params as { readonly '*'?: string })['*']
  return canonicalJson({ ...filter, ...(rest !== undefined && { path: rest }) })
}
