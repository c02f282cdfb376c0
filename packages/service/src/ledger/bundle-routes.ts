/** `/v1/ledger/bundle` and `/v1/ledger/bundles`: tests to verify offline, for whoever may read them. */
import { Readable } from 'node:stream'
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { FastifyReply } from 'fastify'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Id, uuidOf } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import { notFound, Problem, referenceNotFound } from '../http/problem.ts'
import { BundlePlaces, PLACES_MAX } from './bundle-places.ts'
import { BUNDLE_TESTS_MAX, bundleOf, placesOf, testsOfDays } from './bundles.ts'
import type { Ledger } from './open.ts'

const BUNDLE = 'application/vnd.liftledger.bundle'
const READERS = { roles: ['firm', 'program', 'auditor', 'keeper'], scope: 'tests:read' } as const

const answer = {
  description: 'The file.',
  content: {
    [BUNDLE]: {
      schema: Type.Unsafe<Readable | Buffer>({
        type: 'string',
        maxLength: 2 ** 30,
        description: 'Text in UTF-8: checkpoint, proof, and the bytes that were hashed, each behind its length.',
      }),
    },
  },
}
const Since = Type.Optional(
  Type.Integer({
    minimum: 1,
    maximum: Number.MAX_SAFE_INTEGER,
    description: 'Entries in a checkpoint that you kept: the file then shows that the log continues it.',
  }),
)
const Day = (description: string) => Type.Optional(Type.String({ format: 'date', maxLength: 10, description }))

const BundleChoice = Type.Object(
  {
    tests: Type.Optional(
      Type.Array(Id('test', 'Id of a test.'), {
        minItems: 1,
        maxItems: BUNDLE_TESTS_MAX,
        description: 'These tests. Without it, all tests of the days given.',
      }),
    ),
    testedFrom: Day('First day of the visit; without `tests` only.'),
    testedTo: Day('Last day of the visit; without `tests` only.'),
    since: Since,
  },
  { title: 'BundleChoice', description: 'Which tests a bundle holds.', additionalProperties: false },
)
interface Choice {
  readonly tests?: readonly string[]
  readonly testedFrom?: string
  readonly testedTo?: string
}

const sendFile = (reply: FastifyReply, name: string): FastifyReply =>
  reply.type(BUNDLE).header('content-disposition', `attachment; filename="${name}.liftledger-bundle"`)

export const bundleRoutes: FastifyPluginAsyncTypebox<Deps & { ledger: Ledger }> = async (app, deps) => {
  const { databases } = deps
  const underWay = new BundlePlaces()

  app.get(
    '/v1/ledger/bundle/:testId',
    {
      config: { access: READERS, problems: ['conflict'], readLog: { of: 'test' } },
      schema: {
        operationId: 'ledger.bundle',
        tags: ['Ledger'],
        summary: 'Download a test to verify it offline',
        description:
          'The sheet as it was received, the records it leans on, the entries about it, the proof that they are in the ' +
          'log, and the signed checkpoint: all it takes to verify the test without this service. Of later versions it ' +
          'has the entries, which say that they took its place. Notes are not in it.',
        params: Type.Object({ testId: Type.String({ maxLength: 60, description: 'Id of the test.' }) }),
        querystring: Type.Object({ since: Since }, { additionalProperties: false }),
        response: { 200: answer },
      },
    },
    async ({ params, query, principal }, reply) => {
      const testId = uuidOf('test', params.testId)
      const places = await databases.asPrincipal(principal, (tx) => placesOf(tx, [testId]))
      if (!places.some(({ isTest }) => isTest)) throw notFound('test', params.testId)
      const pieces: Uint8Array[] = []
      for await (const piece of await bundleOf(deps, { principal, places, since: query.since })) pieces.push(piece)
      return sendFile(reply, params.testId).send(Buffer.concat(pieces))
    },
  )

  app.post(
    '/v1/ledger/bundles',
    {
      config: {
        access: READERS,
        readLog: { of: 'tests' },
        bodyBytesMax: 512 * 1024,
        problems: ['conflict', 'not-found', 'reference-not-found'],
      },
      schema: {
        operationId: 'ledger.bundles',
        tags: ['Ledger'],
        summary: 'Download many tests in one file to verify them offline',
        description:
          `Up to ${BUNDLE_TESTS_MAX.toLocaleString('en')} tests, named by id or by the days of their visits, under one ` +
          'checkpoint and with one proof. Sent while it is read: a file that breaks off lacks its last line. A key may have ' +
          `${PLACES_MAX.ofKey} under way, and one that is not read for half a minute is broken off.`,
        body: BundleChoice,
        response: { 200: answer },
      },
    },
    async (request, reply) => {
      const { body, principal } = request
      underWay.take(principal.keyId, reply.raw)
      const places = await chosen(principal, body)
      request.testsRead = [...new Set(places.filter(({ isTest }) => isTest).map(({ testId }) => testId))]
      const pieces = await bundleOf(deps, { principal, places, since: body.since })
      return sendFile(reply, 'tests').send(Readable.from(pieces, { objectMode: false }))
    },
  )

  async function chosen(principal: Principal, { tests, testedFrom, testedTo }: Choice) {
    const days = { testedFrom, testedTo }
    if (tests !== undefined && (testedFrom ?? testedTo) !== undefined) {
      throw new Problem('invalid-request', 'Name the tests or the days, not both.')
    }
    if ((tests ?? testedFrom ?? testedTo) === undefined) {
      const message = 'Choose what the bundle holds: `tests` by their ids, or days by `testedFrom`, `testedTo` or both.'
      throw new Problem('invalid-request', 'Nothing was chosen.', {
        errors: [{ pointer: '', code: 'missing-member', message, allowed: ['tests', 'testedFrom', 'testedTo'] }],
      })
    }
    const named = tests?.map((id) => uuidOf('test', id))
    return databases.asPrincipal(principal, async (tx) => {
      const ids = named ?? (await testsOfDays(tx, days, BUNDLE_TESTS_MAX + 1))
      if (ids.length > BUNDLE_TESTS_MAX) {
        throw new Problem('invalid-request', `These days have more than ${BUNDLE_TESTS_MAX} tests; name fewer days.`)
      }
      const places = await placesOf(tx, ids)
      const seen = new Set(places.filter(({ isTest }) => isTest).map(({ testId }) => testId))
      const unseen = ids.flatMap((id, i) =>
        seen.has(id) ? [] : [{ pointer: `/tests/${i}`, noun: 'test', code: tests?.[i] ?? '' }],
      )
      if (unseen.length > 0) throw referenceNotFound(unseen)
      if (places.length === 0) throw new Problem('not-found', 'There is no test of these days that this key may see.')
      return places
    })
  }
}
