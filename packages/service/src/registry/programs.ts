/** `/v1/programs`: who pays for tests and repairs. Registered by administrators. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { Selectable } from 'kysely'
import { Type } from 'typebox'
import type { Program as ProgramRow } from '../db/schema.ts'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { tagged } from '../http/if-match.ts'
import { notFound } from '../http/problem.ts'
import { type Author, differences, recordChange } from './changes.ts'
import { findProgram, insertProgram, listPrograms } from './queries.ts'
import { Program, ProgramPage, ProgramToRegister } from './schemas.ts'

export const toProgram = ({ id, name, created_at }: Selectable<ProgramRow>): Program => ({
  id: toWire('program', id),
  name,
  createdAt: created_at.toISOString(),
})

const Query = Type.Object(PageQuery, { additionalProperties: false })

export const programRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now, newId }) => {
  const cursors = new Cursors(config.keyPepper, now)

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
      const { principal, body } = request
      const row = { id: newId(), name: body.name, created_at: now() }
      const author: Author = { principal, at: row.created_at, newId }
      await databases.asPrincipal(principal, async (tx) => {
        await insertProgram(tx, row)
        const changes = differences({}, body)
        await recordChange(tx, author, { noun: 'program', subject: row.id, deed: 'registered', changes })
      })
      const program = toProgram(row)
      reply.code(201).header('location', `/v1/programs/${program.id}`)
      return reply.send(tagged(reply, program))
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

  app.get(
    '/v1/programs/:programId',
    {
      config: { access: { roles: ['admin', 'firm', 'program', 'auditor'], scope: 'programs:read' } },
      schema: {
        operationId: 'programs.get',
        tags: ['Programs'],
        summary: 'Read a program',
        description: 'One program by its id, with an ETag to change it by.',
        params: Type.Object({ programId: Id('program', 'Id of the program.') }),
        response: { 200: Program },
      },
    },
    async (request) => {
      const { programId } = request.params
      const row = await databases.asPrincipal(request.principal, (tx) => findProgram(tx, uuidOf('program', programId)))
      if (row === undefined) throw notFound('program', programId)
      return toProgram(row)
    },
  )
}
