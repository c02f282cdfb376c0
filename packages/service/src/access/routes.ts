/** `/v1/keys`: keys are made, listed, rotated and revoked by administrators. A key's secret is shown once. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { notFound } from '../http/problem.ts'
import { createKey, toKey } from './create-key.ts'
import { findKey, listKeys, revokeKey } from './queries.ts'
import { rotateKey } from './rotate-key.ts'
import { Key, KeyId, KeyPage, KeyToMake, KeyToRotate, MadeKey } from './schemas.ts'

const READERS = { access: { roles: ['admin'], scope: 'keys:read' } } as const
const WRITERS = { access: { roles: ['admin'], scope: 'keys:write' } } as const
const Params = Type.Object({ keyId: KeyId })
/** The length of a compressed answer tells of its content, secrets too. */
const compress = false

export const accessRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, deps) => {
  const { databases, now } = deps
  const cursors = new Cursors(deps.config.keyPepper, now)

  app.post(
    '/v1/keys',
    {
      compress,
      config: { ...WRITERS, problems: ['reference-not-found'] },
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
      return reply.code(201).header('location', `/v1/keys/${made.id}`).header('cache-control', 'no-store').send(made)
    },
  )

  app.get(
    '/v1/keys',
    {
      compress,
      config: READERS,
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

  app.get(
    '/v1/keys/:keyId',
    {
      compress,
      config: READERS,
      schema: {
        operationId: 'keys.get',
        tags: ['Keys'],
        summary: 'Read a key',
        description: 'One key by its id, without its secret.',
        params: Params,
        response: { 200: Key },
      },
    },
    async ({ params: { keyId }, principal }) => {
      const row = await databases.asPrincipal(principal, (tx) => findKey(tx, keyId))
      if (row === undefined) throw notFound('key', keyId)
      return toKey(row)
    },
  )

  app.post(
    '/v1/keys/:keyId/rotation',
    {
      compress,
      config: { ...WRITERS, problems: ['conflict'] },
      schema: {
        operationId: 'keys.rotate',
        tags: ['Keys'],
        summary: 'Rotate a key',
        description:
          'Makes a key that may do the same and takes the place of this one. Both work until the old one ends, a day ' +
          'later unless told otherwise. The new key is shown once.',
        params: Params,
        body: KeyToRotate,
        response: { 201: MadeKey },
      },
    },
    async ({ params, body, principal }, reply) => {
      const made = await rotateKey(deps, params.keyId, body, principal)
      return reply.code(201).header('location', `/v1/keys/${made.id}`).header('cache-control', 'no-store').send(made)
    },
  )

  app.post(
    '/v1/keys/:keyId/revocation',
    {
      compress,
      config: WRITERS,
      schema: {
        operationId: 'keys.revoke',
        tags: ['Keys'],
        summary: 'Revoke a key',
        description:
          'The key is refused everywhere within a second, within five where a process lost touch with the database, ' +
          'and for good. What was submitted with it and answered stays. Revoking it again changes nothing.',
        params: Params,
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
