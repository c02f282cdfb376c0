/** `/v1/firms` and `/v1/programs`: who tests, and who pays. Registered by administrators. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { notFound } from '../http/problem.ts'
import { findFirm, insertFirm, insertProgram, listFirms, listPrograms } from './queries.ts'
import { Firm, FirmPage, FirmToRegister, Program, ProgramPage, ProgramToRegister } from './schemas.ts'

interface Named {
  readonly id: string
  readonly name: string
  readonly created_at: Date
}

const toFirm = ({ id, name, created_at }: Named): Firm => ({
  id: toWire('firm', id),
  name,
  createdAt: created_at.toISOString(),
})
const toProgram = ({ id, name, created_at }: Named): Program => ({
  id: toWire('program', id),
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
      const row = { id: newId(), name: request.body.name, created_at: now() }
      await databases.asPrincipal(request.principal, (tx) => insertFirm(tx, row))
      const firm = toFirm(row)
      return reply.code(201).header('location', `/v1/firms/${firm.id}`).send(firm)
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
      config: { access: { roles: ['admin'], scope: 'firms:read' } },
      schema: {
        operationId: 'firms.get',
        tags: ['Firms'],
        summary: 'Read a firm',
        description: 'One firm by its id.',
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

  app.post(
    '/v1/programs',
    {
      config: { access: { roles: ['admin'], scope: 'programs:write' } },
      schema: {
        operationId: 'programs.create',
        tags: ['Programs'],
        summary: 'Register a program',
        description: 'A program that pays for tests or repairs. It gets its keys through /v1/keys.',
        body: ProgramToRegister,
        response: { 201: Program },
      },
    },
    async (request, reply) => {
      const row = { id: newId(), name: request.body.name, created_at: now() }
      await databases.asPrincipal(request.principal, (tx) => insertProgram(tx, row))
      return reply.code(201).send(toProgram(row))
    },
  )

  app.get(
    '/v1/programs',
    {
      config: { access: { roles: ['admin', 'firm', 'program'], scope: 'programs:read' } },
      schema: {
        operationId: 'programs.list',
        tags: ['Programs'],
        summary: 'List programs',
        description: 'The programs a test can be given to. A program sees itself.',
        querystring: Query,
        response: { 200: ProgramPage },
      },
    },
    async (request, reply) =>
      cursors.page(
        { request, reply, list: { order: 'programs by id' } },
        (part) => databases.asPrincipal(request.principal, (tx) => listPrograms(tx, part)),
        toProgram,
      ),
  )
}
