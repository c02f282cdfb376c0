/** Operations on their way out: `Deprecation` (RFC 9745), `Sunset` (RFC 8594) and where to go instead. */
import type { FastifyInstance, FastifyReply } from 'fastify'

export interface Deprecated {
  /** Day since when it should not be used any more, `YYYY-MM-DD`. */
  readonly since: string
  /** Day from which it may be gone; never before `since`. */
  readonly sunset?: string
  /** Path of what takes its place. */
  readonly successor?: string
}

declare module 'fastify' {
  interface FastifyContextConfig {
    deprecated?: Deprecated
  }
}

export function registerDeprecation(app: FastifyInstance): void {
  app.addHook('onRoute', ({ config, method, url }) => {
    if (config?.deprecated !== undefined) check(config.deprecated, `Route ${String(method)} ${url}`)
  })
  app.addHook('onSend', (request, reply, payload, done) => {
    const deprecated = request.routeOptions.config?.deprecated
    if (deprecated !== undefined) mark(reply, deprecated)
    done(null, payload)
  })
}

function mark(reply: FastifyReply, { since, sunset, successor }: Deprecated): void {
  reply.header('deprecation', `@${Date.parse(since) / 1000}`)
  if (sunset !== undefined) reply.header('sunset', new Date(sunset).toUTCString())
  if (successor === undefined) return
  // A list has its link to the next page already.
  const links = [reply.getHeader('link'), `<${successor}>; rel="successor-version"`]
  reply.header('link', links.filter((link) => link !== undefined).join(', '))
}

function check({ since, sunset }: Deprecated, where: string): void {
  for (const day of [since, sunset]) {
    if (day !== undefined && !(/^\d{4}-\d\d-\d\d$/.test(day) && !Number.isNaN(Date.parse(day)))) {
      throw new Error(`${where}: '${day}' is not a day like 2027-01-31.`)
    }
  }
  if (sunset !== undefined && sunset < since) throw new Error(`${where} can't end before it is deprecated.`)
}
