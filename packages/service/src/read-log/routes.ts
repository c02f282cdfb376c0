/** Who read what: of one test for its firm, of everything for auditors, with what the ledger holds of each hour. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Cursors, Page, PageQuery, type Place } from '../http/cursor.ts'
import { Id, uuidOf } from '../http/ids.ts'
import { notFound, Problem } from '../http/problem.ts'
import { checkHour, listReads, listReadsOfTest, seesTest } from './queries.ts'
import { hourOf, loggedRead, type StoredRead } from './rows.ts'
import { LoggedRead, ReadHour } from './schemas.ts'

const NOT_A_READ = { of: 'nothing', because: 'It tells who read, and nothing of a test.' } as const
const AUDITORS = { access: { roles: ['auditor'], scope: 'tests:read' }, readLog: NOT_A_READ } as const

const BY_PLACE: Place<StoredRead, number> = {
  valuesOf: ({ place }) => [String(place)],
  from: ([place]) => Number(place),
}
const ReadPage = Page('LoggedReadPage', LoggedRead)
const Hour = Type.String({
  format: 'date-time',
  maxLength: 30,
  description: 'Begin of an hour, as `2026-05-12T09:00:00Z`.',
})

/** Throws `invalid-request` for what is no full hour. */
function fullHour(text: string): Date {
  const at = new Date(text)
  if (at.getTime() === hourOf(at).getTime()) return at
  throw new Problem('invalid-request', `'${text}' is not the begin of an hour; ask for ${hourOf(at).toISOString()}.`)
}

export const readLogRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now }) => {
  const cursors = new Cursors(config.keyPepper, now)

  app.get(
    '/v1/tests/:testId/reads',
    {
      config: { access: { roles: ['firm', 'program', 'auditor'], scope: 'tests:read' }, readLog: NOT_A_READ },
      schema: {
        operationId: 'tests.reads',
        tags: ['Tests'],
        summary: 'List who read a test, the latest first',
        description:
          'Reads of the test by itself and in bundles, within a second of them. A firm sees everyone who read its test, a ' +
          'program its own reads. Lists that the test was in are not here: they are written down as lists.',
        params: Type.Object({ testId: Id('test', 'Id of the test.') }),
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: ReadPage },
      },
    },
    async (request, reply) => {
      const testId = uuidOf('test', request.params.testId)
      return cursors.pageBy(
        BY_PLACE,
        { request, reply, list: { order: 'reads of a test', filter: { testId } } },
        ({ after, limit }) =>
          databases.asPrincipal(request.principal, async (tx) => {
            if (!(await seesTest(tx, testId))) throw notFound('test', request.params.testId)
            return listReadsOfTest(tx, testId, after, limit)
          }),
        loggedRead,
      )
    },
  )

  app.get(
    '/v1/ledger/reads',
    {
      config: AUDITORS,
      schema: {
        operationId: 'ledger.reads',
        tags: ['Ledger'],
        summary: 'List who read what, in order',
        description:
          'Every read of test data by whomever: which key, which operation, which test or plant, or how a list was ' +
          'filtered. Rows are only ever added. Those of an hour that is over are the leaves of a tree whose root is an ' +
          'entry of the ledger.',
        querystring: Type.Object({ ...PageQuery, hour: Type.Optional(Hour) }, { additionalProperties: false }),
        response: { 200: ReadPage },
      },
    },
    async (request, reply) => {
      const { hour: asked } = request.query
      const hour = asked === undefined ? undefined : fullHour(asked)
      return cursors.pageBy(
        BY_PLACE,
        { request, reply, list: { order: 'reads', filter: { hour: hour?.toISOString() } } },
        ({ after = -1, limit }) => databases.asPrincipal(request.principal, (tx) => listReads(tx, hour, after, limit)),
        loggedRead,
      )
    },
  )

  app.get(
    '/v1/ledger/read-hours/:hour',
    {
      config: AUDITORS,
      schema: {
        operationId: 'ledger.readHour',
        tags: ['Ledger'],
        summary: 'Check the reads of an hour against the ledger',
        description:
          'Hashes the rows of the hour anew and says whether they have the root that the ledger holds. To check it ' +
          'yourself, hash the items of `/v1/ledger/reads?hour=` and prove the entry with `/v1/ledger/proofs/inclusion`.',
        params: Type.Object({ hour: Hour }),
        response: { 200: ReadHour },
      },
    },
    async ({ params, principal }) => {
      const hour = fullHour(params.hour)
      return databases.asPrincipal(principal, (tx) => checkHour(tx, hour))
    },
  )
}
