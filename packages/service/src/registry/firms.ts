/** `/v1/firms`: who tests. Registered by administrators. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { Selectable } from 'kysely'
import { Type } from 'typebox'
import type { Firm as FirmRow } from '../db/schema.ts'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { tagged } from '../http/if-match.ts'
import { notFound } from '../http/problem.ts'
import { type Author, differences, recordChange } from './changes.ts'
import { findFirm, insertFirm, listFirms } from './queries.ts'
import { Firm, FirmPage, FirmToRegister } from './schemas.ts'

export const toFirm = ({ id, name, created_at }: Selectable<FirmRow>): Firm => ({
  id: toWire('firm', id),
  name,
  createdAt: created_at.toISOString(),
})

const Query = Type.Object(PageQuery, { additionalProperties: false })

export const firmRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now, newId }) => {
  const cursors = new Cursors(config.keyPepper, now)

  app.post(
    '/v1/firms',
    {
      config: { access: { roles: ['admin'], scope: 'firms:write' } },
      schema: {
        operationId: 'firms.create',
        tags: ['Firms'],
        summary: 'Register a firm',
        description: 'A firm that tests pumping plants. It gets its keys through /v1/keys.',
        body: FirmToRegister,
        response: { 201: Firm },
      },
    },
    async (request, reply) => {
      const { principal, body } = request
      const row = { id: newId(), name: body.name, created_at: now() }
      const author: Author = { principal, at: row.created_at, newId }
      await databases.asPrincipal(principal, async (tx) => {
        await insertFirm(tx, row)
        const changes = differences({}, body)
        await recordChange(tx, author, { noun: 'firm', subject: row.id, deed: 'registered', changes })
      })
      const firm = toFirm(row)
      reply.code(201).header('location', `/v1/firms/${firm.id}`)
      return reply.send(tagged(reply, firm))
    },
  )

  app.get(
    '/v1/firms',
    {
      config: { access: { roles: ['admin'], scope: 'firms:read' } },
      schema: {
        operationId: 'firms.list',
        tags: ['Firms'],
        summary: 'List firms',
        description: 'All firms, in the order in which they were registered.',
        querystring: Query,
        response: { 200: FirmPage },
      },
    },
    async (request, reply) =>
      cursors.page(
        { request, reply, list: { order: 'firms by id' } },
        (part) => databases.asPrincipal(request.principal, (tx) => listFirms(tx, part)),
        toFirm,
      ),
  )

  app.get(
    '/v1/firms/:firmId',
    {
      config: { access: { roles: ['admin', 'auditor'], scope: 'firms:read' } },
      schema: {
        operationId: 'firms.get',
        tags: ['Firms'],
        summary: 'Read a firm',
        description: 'One firm by its id, with an ETag to change it by.',
        params: Type.Object({ firmId: Id('firm', 'Id of the firm.') }),
        response: { 200: Firm },
      },
    },
    async (request) => {
      const { firmId } = request.params
      const row = await databases.asPrincipal(request.principal, (tx) => findFirm(tx, uuidOf('firm', firmId)))
      if (row === undefined) throw notFound('firm', firmId)
      return toFirm(row)
    },
  )
}
