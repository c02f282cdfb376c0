/** Whether the process lives, and whether it should be sent requests. For load balancers, without a key. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Problem } from './problem.ts'

declare module 'fastify' {
  interface FastifyInstance {
    /** Set when the process was told to stop; requests are still answered until the connections are drained. */
    lifecycle: {
      stopping: boolean
      /** What slices watch over: each answers why this process should not be sent requests, where something is wrong. */
      readonly concerns: (() => string | undefined)[]
    }
  }
}

const PING_MS_MAX = 500

const Health = Type.Object(
  { status: Type.Literal('ok', { description: 'Always `ok`; anything else is a problem.' }) },
  { title: 'Health', description: 'All is well.', additionalProperties: false },
)

export const healthRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases }) => {
  app.get(
    '/health/live',
    {
      config: { access: 'public', probe: true },
      schema: {
        operationId: 'health.live',
        tags: ['Health'],
        summary: 'Whether the process lives',
        description: 'Asks nothing but the process itself. A failure means: restart it.',
        response: { 200: Health },
      },
    },
    async () => ({ status: 'ok' as const }),
  )

  app.get(
    '/health/ready',
    {
      config: { access: 'public', probe: true, problems: ['stopping', 'database-unavailable', 'not-ready'] },
      schema: {
        operationId: 'health.ready',
        tags: ['Health'],
        summary: 'Whether the service can be sent requests',
        description: 'Asks the database too. A failure names its reason and means: send requests elsewhere for now.',
        response: { 200: Health },
      },
    },
    async () => {
      if (app.lifecycle.stopping) throw new Problem('stopping', 'This process was told to stop.')
      if (!(await databases.ping(PING_MS_MAX))) {
        throw new Problem('database-unavailable', `The database did not answer within ${PING_MS_MAX} ms.`, {
          retryAfterS: 1,
        })
      }
      for (const concern of app.lifecycle.concerns) {
        const reason = concern()
        if (reason !== undefined) throw new Problem('not-ready', reason, { retryAfterS: 5 })
      }
      return { status: 'ok' as const }
    },
  )
}
