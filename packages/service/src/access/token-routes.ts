/** `/v1/token-principals`: whom the subjects of the issuer of tokens stand for. Managed by administrators. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { notFound } from '../http/problem.ts'
import { listTokenPrincipals, readTokenPrincipal, removeTokenPrincipal } from './queries.ts'
import { TokenPrincipal, TokenPrincipalId, TokenPrincipalPage, TokenPrincipalToMake } from './schemas.ts'
import { createTokenPrincipal, toTokenPrincipal } from './token-principals.ts'

const READERS = { access: { roles: ['admin'], scope: 'keys:read' } } as const
const WRITERS = { access: { roles: ['admin'], scope: 'keys:write' } } as const
const Params = Type.Object({ principalId: TokenPrincipalId })

export const tokenPrincipalRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, deps) => {
  const { databases, now } = deps
  const cursors = new Cursors(deps.config.keyPepper, now)

  app.post(
    '/v1/token-principals',
    {
      config: { ...WRITERS, problems: ['reference-not-found', 'conflict'] },
      schema: {
        operationId: 'tokenPrincipals.create',
        tags: ['Keys'],
        summary: 'Say whom a token stands for',
        description:
          'Lets a subject of the trusted OpenID Connect issuer in, with the role and scopes given here. What its tokens ' +
          'say about roles is never read.',
        body: TokenPrincipalToMake,
        response: { 201: TokenPrincipal },
      },
    },
    async ({ body, principal }, reply) => {
      const made = await createTokenPrincipal(deps, body, principal)
      return reply.code(201).header('location', `/v1/token-principals/${made.id}`).send(made)
    },
  )

  app.get(
    '/v1/token-principals',
    {
      config: READERS,
      schema: {
        operationId: 'tokenPrincipals.list',
        tags: ['Keys'],
        summary: 'List whom tokens stand for',
        description: 'Every principal of a token, removed ones too.',
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: TokenPrincipalPage },
      },
    },
    async (request, reply) =>
      cursors.page(
        { request, reply, list: { order: 'token principals by id' } },
        (part) => databases.asPrincipal(request.principal, (tx) => listTokenPrincipals(tx, part)),
        toTokenPrincipal,
      ),
  )

  app.get(
    '/v1/token-principals/:principalId',
    {
      config: READERS,
      schema: {
        operationId: 'tokenPrincipals.get',
        tags: ['Keys'],
        summary: 'Read whom a token stands for',
        description: 'One principal by its id, also after it was removed.',
        params: Params,
        response: { 200: TokenPrincipal },
      },
    },
    async ({ params: { principalId }, principal }) => {
      const row = await databases.asPrincipal(principal, (tx) => readTokenPrincipal(tx, principalId))
      if (row === undefined) throw notFound('principal', principalId)
      return toTokenPrincipal(row)
    },
  )

  app.delete(
    '/v1/token-principals/:principalId',
    {
      config: WRITERS,
      schema: {
        operationId: 'tokenPrincipals.remove',
        tags: ['Keys'],
        summary: 'Let a token stand for nobody',
        description:
          'Tokens of the subject are refused everywhere within a second, within five where a process lost touch with ' +
          'the database. The record stays, marked as removed. Removing it again changes nothing.',
        params: Params,
        response: { 200: TokenPrincipal },
      },
    },
    async ({ params: { principalId }, principal }) => {
      const row = await databases.asPrincipal(principal, (tx) => removeTokenPrincipal(tx, principalId, now()))
      if (row === undefined) throw notFound('principal', principalId)
      return toTokenPrincipal(row)
    },
  )
}
