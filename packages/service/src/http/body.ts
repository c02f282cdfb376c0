/**
 * Bodies: the raw bytes are kept as received, then scanned, parsed and checked against the operation's schema.
 *
 * Reading comes before the operation's own `preValidation` hooks and parsing after them, so that a repeated
 * submission can be recognised by its bytes before any work is done on them.
 */
import type { FastifyInstance, FastifyRequest, onRouteHookHandler, preValidationHookHandler } from 'fastify'
import type { LateCompiling } from './late-compiling.ts'
import { Problem } from './problem.ts'
import { parseJson } from './raw-scan.ts'
import { bodyProblem, checkBodySchema } from './validator.ts'

declare module 'fastify' {
  interface FastifyRequest {
    /** The body as received; empty where there was none. */
    rawBody: Buffer
  }
  interface FastifyContextConfig {
    /** Largest body this operation takes, in bytes; {@link BODY_BYTES_MAX} where nothing is said. */
    bodyBytesMax?: number
  }
}

export const BODY_BYTES_MAX = 64 * 1024
export const SHEET_BYTES_MAX = 256 * 1024
/** A body declared larger than this isn't even read away: the connection is closed with the answer. */
const DRAIN_BYTES_MAX = 16 * 1024 * 1024

/** RFC 7396, for PATCH. What is no object of changes is refused by shape, whatever it is called. */
export const MERGE_PATCH = 'application/merge-patch+json'

const EMPTY = Buffer.alloc(0)

export function registerBody(app: FastifyInstance, compiling: LateCompiling): void {
  app.decorateRequest('rawBody')
  app.addHook('onRequest', (request, _reply, done) => {
    request.rawBody = EMPTY
    done()
  })
  app.removeAllContentTypeParsers()
  app.addContentTypeParser(['application/json', MERGE_PATCH], (request, payload, done) => {
    const limit = request.routeOptions.config.bodyBytesMax ?? BODY_BYTES_MAX
    const declared = Number(request.headers['content-length'])
    // A refusal is handed on as if it were the body: an error given to `done` would make Fastify close the
    // connection, and a sender in the middle of its body would see a broken pipe instead of the answer.
    if (declared > limit) return done(null, tooLarge(limit, declared))
    collect(payload, limit, (refused, bytes) => {
      request.rawBody = bytes
      done(null, refused ?? bytes)
    })
  })
  app.addHook('onRoute', addBodyHook(compiling))
}

type Collected = (refused: Error | null, bytes: Buffer) => void

/** Reads a stream up to `limit` bytes; beyond it the rest is read away, so that the sender sees the answer. */
function collect(payload: FastifyRequest['raw'] | NodeJS.ReadableStream, limit: number, done: Collected): void {
  const chunks: Buffer[] = []
  let length = 0
  let settled = false
  const settle = (error: Error | null): void => {
    if (settled) return
    settled = true
    // Always copied: a chunk is a view of a larger buffer that must not be kept for as long as a sheet is.
    done(error, error ? EMPTY : Buffer.concat(chunks, length))
    chunks.length = 0
  }
  payload.on('data', (chunk: Buffer) => {
    if (settled) return
    length += chunk.length
    if (length > limit) settle(tooLarge(limit))
    else chunks.push(chunk)
  })
  payload.on('end', () => settle(null))
  payload.on('error', (error: Error) => settle(error))
  payload.on('close', () => {
    // An error is dear to make, and most bodies have ended well by now.
    if (!settled) settle(new Problem('malformed-http', 'The body ended before all of it had arrived.'))
  })
}

function tooLarge(limit: number, declared?: number): Problem {
  const size = declared === undefined ? 'The body is larger than allowed' : `The body has ${declared} bytes`
  return new Problem('too-large', `${size}; at most ${limit} bytes are taken here.`, {
    ...(declared !== undefined && declared > DRAIN_BYTES_MAX && { headers: { connection: 'close' } }),
  })
}

const addBodyHook =
  (compiling: LateCompiling): onRouteHookHandler =>
  (route) => {
    if (route.method === 'GET' || route.method === 'HEAD') return
    const schema = route.schema?.body as object | undefined
    if (schema) compiling.later(() => checkBodySchema(schema))
    const own = route.preValidation ?? []
    route.preValidation = [throwRefusal, ...(Array.isArray(own) ? own : [own]), schema ? readBody(schema) : refuseBody]
  }

const throwRefusal: preValidationHookHandler = (request, _reply, done) => {
  if (request.body instanceof Error) done(request.body)
  else done()
}

function readBody(schema: object): preValidationHookHandler {
  return (request, _reply, done) => {
    const { rawBody } = request
    if (rawBody.length === 0) {
      throw new Problem('invalid-request', 'A JSON body is required; nothing was stored.', {
        errors: [{ pointer: '', code: 'missing-member', message: 'The body is empty.' }],
      })
    }
    const body = parseJson(rawBody)
    const problem = bodyProblem(schema, body, rawBody.length)
    if (problem) throw problem
    request.body = body
    done()
  }
}

const refuseBody: preValidationHookHandler = (request, _reply, done) => {
  if (request.rawBody.length > 0) throw new Problem('invalid-request', 'This operation takes no body.')
  done()
}
