/** Around every request: its id, the fields every answer carries, and one line in the log when it is over. */
import { randomUUID } from 'node:crypto'
import type { IncomingMessage } from 'node:http'
import type { FastifyInstance, FastifyReply, FastifyRequest } from 'fastify'
import { traceContext } from './trace-context.ts'

/** The caller's `X-Request-Id` where it is harmless in a log, else a new one. */
export function requestId(request: IncomingMessage): string {
  const given = request.headers['x-request-id']
  return typeof given === 'string' && /^[A-Za-z0-9-]{8,64}$/.test(given) ? given : randomUUID()
}

const FIELDS = {
  'x-content-type-options': 'nosniff',
  'content-security-policy': "default-src 'none'; frame-ancestors 'none'",
  'referrer-policy': 'no-referrer',
  'cross-origin-resource-policy': 'same-origin',
}

export function registerRequests(app: FastifyInstance, { publicUrl }: { readonly publicUrl: string }): void {
  const fields = {
    ...FIELDS,
    ...(publicUrl.startsWith('https:') && { 'strict-transport-security': 'max-age=31536000' }),
  }
  app.addHook('onRequest', (request, reply, done) => {
    reply.headers(fields).header('x-request-id', request.id)
    done()
  })
  app.addHook('onResponse', (request, reply, done) => {
    request.log.info(line(request, reply), 'request')
    done()
  })
}

/** The template of the route rather than the address, and never a body or a header field. */
function line(request: FastifyRequest, reply: FastifyReply) {
  const traceId = traceContext(request.headers.traceparent)?.traceId
  return {
    method: request.method,
    route: request.routeOptions.url ?? '(none)',
    status: reply.statusCode,
    ms: Math.round(reply.elapsedTime * 10) / 10,
    ...(traceId !== undefined && { traceId }),
    ...(request.principal?.firmId !== undefined && { firm: request.principal.firmId }),
    ...(request.principal !== undefined && { keyId: request.principal.keyId }),
    bytesIn: Number(request.headers['content-length'] ?? 0),
    bytesOut: Number(reply.getHeader('content-length') ?? 0),
    ...(reply.problemCode !== undefined && { code: reply.problemCode }),
  }
}
