/** `/v1/testers`: who tests for a firm, known by code, and the qualifications they hold. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { tagged } from '../http/if-match.ts'
import { notFound } from '../http/problem.ts'
import { type Author, differences, personalDifferences, recordChange } from './changes.ts'
import { refusingDuplicates } from './conflicts.ts'
import { findTester, insertQualification, insertTester, listTesters, type TesterRow } from './queries.ts'
import { Code, Qualification, Tester, TesterPage, TesterToRegister } from './schemas.ts'
import { refuseBackwardSpans } from './spans.ts'

export const toTester = (row: TesterRow): Tester => ({
  id: toWire('tester', row.id),
  code: row.code,
  ...(row.name !== null && { name: row.name }),
  qualifications: row.held,
  createdAt: row.created_at.toISOString(),
})

const Params = Type.Object({ testerId: Id('tester', 'Id of the tester.') })

export const testerRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now, newId }) => {
  const cursors = new Cursors(config.keyPepper, now)

  app.post(
    '/v1/testers',
    {
      config: { access: { roles: ['firm'], scope: 'testers:write' }, problems: ['conflict'] },
      schema: {
        operationId: 'testers.create',
        tags: ['Testers'],
        summary: 'Register a tester',
        description: 'A tester is known by code. The name is personal and may be left out.',
        body: TesterToRegister,
        response: { 201: Tester },
      },
    },
    async ({ body, principal }, reply) => {
      const { code, name = null, qualifications = [] } = body
      refuseBackwardSpans(Object.fromEntries(qualifications.map((span, n) => [`/qualifications/${n}`, span])))
      const row = { id: newId(), firm_id: principal.firmId!, code, name, created_at: now() }
      const by = { firmId: row.firm_id, testerId: row.id, keyId: principal.keyId, at: row.created_at }
      const stored = await refusingDuplicates(
        { tester_firm_id_code_key: `This firm has a tester with the code ${code} already.` },
        () =>
          databases.asPrincipal(principal, async (tx) => {
            await insertTester(tx, row)
            for (const qualification of qualifications) await insertQualification(tx, by, qualification)
            const changes = [
              ...differences({}, { code, qualifications: body.qualifications }),
              ...personalDifferences({}, { name }),
            ]
            const author: Author = { principal, at: by.at, newId }
            const { firmId } = by
            await recordChange(tx, author, { noun: 'tester', subject: row.id, deed: 'registered', changes, firmId })
            return findTester(tx, row.id)
          }),
      )
      const tester = toTester(stored!)
      reply.code(201).header('location', `/v1/testers/${tester.id}`)
      return reply.send(tagged(reply, tester))
    },
  )

  app.get(
    '/v1/testers',
    {
      config: { access: { roles: ['firm'], scope: 'testers:read' } },
      schema: {
        operationId: 'testers.list',
        tags: ['Testers'],
        summary: 'List testers, or find one by code',
        description: 'The testers of the firm.',
        querystring: Type.Object(
          { code: Type.Optional(Code('Only the tester with this code.')), ...PageQuery },
          { additionalProperties: false },
        ),
        response: { 200: TesterPage },
      },
    },
    async (request, reply) => {
      const { code } = request.query
      return cursors.page(
        { request, reply, list: { order: 'testers by id', filter: { code } } },
        (part) => databases.asPrincipal(request.principal, (tx) => listTesters(tx, part, code)),
        toTester,
      )
    },
  )

  app.get(
    '/v1/testers/:testerId',
    {
      config: { access: { roles: ['firm', 'auditor'], scope: 'testers:read' } },
      schema: {
        operationId: 'testers.get',
        tags: ['Testers'],
        summary: 'Read a tester',
        description: 'One tester by id, with an ETag to change it by.',
        params: Params,
        response: { 200: Tester },
      },
    },
    async ({ params, principal }) => {
      const id = uuidOf('tester', params.testerId)
      const row = await databases.asPrincipal(principal, (tx) => findTester(tx, id))
      if (row === undefined) throw notFound('tester', params.testerId)
      return toTester(row)
    },
  )

  app.post(
    '/v1/testers/:testerId/qualifications',
    {
      config: { access: { roles: ['firm'], scope: 'testers:write' }, problems: ['conflict'] },
      schema: {
        operationId: 'testers.addQualification',
        tags: ['Testers'],
        summary: 'Record a qualification',
        description:
          'A renewal has a later first day. The same code and first day once more corrects what was recorded before; ' +
          'tests already evaluated keep the context they were evaluated with.',
        params: Params,
        body: Qualification,
        response: { 201: Tester },
      },
    },
    async ({ params, body, principal }, reply) => {
      refuseBackwardSpans({ '': body })
      const id = uuidOf('tester', params.testerId)
      const by = { firmId: principal.firmId!, testerId: id, keyId: principal.keyId, at: now() }
      const stored = await refusingDuplicates(
        { tester_qualification_pkey: 'The same qualification was recorded at the same moment; send it again.' },
        () =>
          databases.asPrincipal(principal, async (tx) => {
            if ((await findTester(tx, id)) === undefined) throw notFound('tester', params.testerId)
            await insertQualification(tx, by, body)
            await recordChange(
              tx,
              { principal, at: by.at, newId },
              {
                noun: 'tester',
                subject: id,
                deed: 'qualification-recorded',
                changes: differences({}, { qualification: body }),
                firmId: by.firmId,
              },
            )
            return findTester(tx, id)
          }),
      )
      return reply.code(201).header('location', `/v1/testers/${params.testerId}`).send(toTester(stored!))
    },
  )
}
