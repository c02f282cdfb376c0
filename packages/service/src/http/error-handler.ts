/**
 * Turns whatever goes wrong into `application/problem+json`: thrown problems, Fastify's own errors, failures of the
 * database, unknown routes, wrong methods, and what Node's parser refuses before there is a request.
 *
 * Must be registered before any slice. Nothing of an unexpected error leaves the process but its request id.
 */
import { STATUS_CODES } from 'node:http'
import type { Socket } from 'node:net'
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import { databaseFailure } from './database-failure.ts'
import { clip, Problem, type ProblemCode, problemDocument } from './problem.ts'

declare module 'fastify' {
  interface FastifyReply {
    /** Code of the problem that was answered, for the log line. */
    problemCode: ProblemCode | undefined
  }
}

export const PROBLEM_TYPE = 'application/problem+json'

/** `site` is asked at each answer: the address may be known only once the service listens. */
export interface Site {
  readonly publicUrl: string
}

export function registerErrorHandler(app: FastifyInstance, site: Site): void {
  const routes = new RouteList()
  app.decorateReply('problemCode', undefined)
  app.addHook('onRoute', (route) => routes.add(route.method, route.url))
  app.setErrorHandler((error, request, reply) => sendError(error, site, request, reply))
  app.setNotFoundHandler((request, reply) => {
    const path = pathOf(request)
    const allowed = routes.methodsAt(path)
    const problem =
      allowed.length === 0
        ? new Problem('not-found', 'There is no such address; GET /openapi.json lists them all.')
        : new Problem(
            'method-not-allowed',
            `${clip(request.method, 20)} is not offered here. Offered: ${allowed.join(', ')}.`,
            {
              headers: { allow: allowed.join(', ') },
            },
          )
    return sendProblem(problem, site, request, reply)
  })
}

/** Answers any error as the problem it is. */
export function sendError(error: unknown, site: Site, request: FastifyRequest, reply: FastifyReply): FastifyReply {
  return sendProblem(problemOf(error, request), site, request, reply)
}

/** Sends a problem. The text is made here, so that no declared answer schema can get in the way. */
function sendProblem(problem: Problem, site: Site, request: FastifyRequest, reply: FastifyReply): FastifyReply {
  const document = problemDocument(problem, { publicUrl: site.publicUrl, path: pathOf(request), id: request.id })
  reply.problemCode = problem.code
  if (problem.retryAfterS !== undefined) reply.header('retry-after', String(Math.ceil(problem.retryAfterS)))
  return reply
    .code(problem.status)
    .headers({
      ...problem.headers,
      'cache-control': 'no-store',
      'content-type': PROBLEM_TYPE,
      'x-request-id': request.id,
    })
    .send(JSON.stringify(document))
}

const pathOf = (request: FastifyRequest): string => request.url.split('?', 1)[0]!

const FRAMEWORK: Readonly<Record<string, { code: ProblemCode; detail: string }>> = {
  FST_ERR_CTP_INVALID_MEDIA_TYPE: {
    code: 'unsupported-media-type',
    detail: 'Bodies are taken as application/json only.',
  },
  FST_ERR_BAD_URL: { code: 'invalid-request', detail: 'The path has a percent sign that is not a valid escape.' },
  FST_ERR_MAX_PARAM_LENGTH: { code: 'not-found', detail: 'There is no such address.' },
}

function problemOf(error: unknown, request: FastifyRequest): Problem {
  if (error instanceof Problem) {
    if (error.cause !== undefined) request.log.error({ err: error.cause }, error.message)
    return error
  }
  const code = error instanceof Error && 'code' in error ? String(error.code) : ''
  const known = FRAMEWORK[code]
  if (known) return new Problem(known.code, known.detail)
  const failure = databaseFailure(error)
  if (failure) {
    request.log.warn({ err: error }, 'database failure')
    return failure
  }
  request.log.error({ err: error }, 'unexpected error')
  return new Problem('internal', 'The request could not be carried out. Its id helps to find out why.')
}

/** Method and template of each route, to say which methods an address offers. */
class RouteList {
  readonly routes: { method: string; segments: string[] }[] = []

  add(method: string | string[], url: string): void {
    for (const one of [method].flat()) this.routes.push({ method: one, segments: url.split('/') })
  }

  methodsAt(path: string): string[] {
    const segments = path.split('/')
    const matching = this.routes.filter(
      (route) =>
        route.segments.length === segments.length &&
        route.segments.every(
          (segment, n) => segment === segments[n] || (segment.startsWith(':') && segments[n] !== ''),
        ),
    )
    return [...new Set(matching.map(({ method }) => method))].toSorted()
  }
}

const PARSER: Readonly<Record<string, { code: ProblemCode; detail: string }>> = {
  HPE_HEADER_OVERFLOW: { code: 'headers-too-large', detail: 'The header fields have more than 16384 bytes.' },
  ERR_HTTP_REQUEST_TIMEOUT: { code: 'request-timeout', detail: 'The request did not arrive in time.' },
}

/** Answers what Node's HTTP parser refused. There is no request yet, hence no path and a fresh id. */
export function clientErrorHandler(site: Site, newId: () => string) {
  return (error: Error & { code?: string }, socket: Socket): void => {
    if (error.code === 'ECONNRESET' || !socket.writable) {
      socket.destroy()
      return
    }
    const { code, detail } = PARSER[error.code ?? ''] ?? {
      code: 'malformed-http',
      detail: 'This is not an HTTP request.',
    }
    const problem = new Problem(code, detail)
    const body = JSON.stringify(problemDocument(problem, { publicUrl: site.publicUrl, path: '', id: newId() }))
    socket.end(
      [
        `HTTP/1.1 ${problem.status} ${STATUS_CODES[problem.status]}`,
        `Content-Type: ${PROBLEM_TYPE}`,
        `Content-Length: ${Buffer.byteLength(body)}`,
        'Connection: close',
        '',
        body,
      ].join('\r\n'),
    )
  }
}
