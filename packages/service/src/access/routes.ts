/** `/v1/keys`: keys are made, listed and revoked by administrators. A key's secret is shown once. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { notFound } from '../http/problem.ts'
import { createKey, toKey } from './create-key.ts'
import { listKeys, revokeKey } from './queries.ts'
import { Key, KeyId, KeyPage, KeyToMake, MadeKey } from './schemas.ts'

export const accessRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, deps) => {
  const { databases, now } = deps
  const cursors = new Cursors(deps.config.keyPepper, now)

  app.post(
    '/v1/keys',
    {
      config: { access: { roles: ['admin'], scope: 'keys:write' }, problems: ['reference-not-found'] },
      schema: {
        operationId: 'keys.create',
        tags: ['Keys'],
        summary: 'Make a key',
        description:
          'Makes a key for a firm, a program, an auditor, a keeper or an administrator. The key is shown once.',
        body: KeyToMake,
        response: { 201: MadeKey },
      },
    },
    async (request, reply) => {
      const made = await createKey(deps, request.body, request.principal)
      return reply.code(201).header('cache-control', 'no-store').send(made)
    },
  )

  app.get(
    '/v1/keys',
    {
      config: { access: { roles: ['admin'], scope: 'keys:read' } },
      schema: {
        operationId: 'keys.list',
        tags: ['Keys'],
        summary: 'List keys',
        description: 'Every key, revoked and expired ones too, without secrets.',
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: KeyPage },
      },
    },
    async (request, reply) =>
      cursors.page(
        { request, reply, list: { order: 'keys by id' } },
        (part) => databases.asPrincipal(request.principal, (tx) => listKeys(tx, part)),
        toKey,
      ),
  )

  app.post(
    '/v1/keys/:keyId/revocation',
    {
      config: { access: { roles: ['admin'], scope: 'keys:write' } },
      schema: {
        operationId: 'keys.revoke',
        tags: ['Keys'],
        summary: 'Revoke a key',
        description:
          'The key is refused everywhere within five seconds, and for good. Revoking it again changes nothing.',
        params: Type.Object({ keyId: KeyId }),
        response: { 200: Key },
      },
    },
    async (request) => {
      const { keyId } = request.params
      const row = await databases.asPrincipal(request.principal, (tx) => revokeKey(tx, keyId, now()))
      if (row === undefined) throw notFound('key', keyId)
      return toKey(row)
    },
  )
}
