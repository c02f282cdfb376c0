/** `/v1/tests`: submit a test, read it back, list tests. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Sheet } from '@liftledger/calc'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { SHEET_BYTES_MAX } from '../http/body.ts'
import { changesIfDiffering, jsonOf, sendJson } from '../http/caching.ts'
import { Cursors, Page, PageQuery, type Place } from '../http/cursor.ts'
import { InFlight } from '../http/idempotency.ts'
import { uuidOf } from '../http/ids.ts'
import type { LedgerAppends } from '../ledger/append.ts'
import { provenanceOf, storedFieldTest, testSummary } from './answer.ts'
import { groupWrites } from './group-write.ts'
import type { TestReader } from './load.ts'
import { listGivenTests, listStoredTests, type TestPlace } from './queries.ts'
import { FieldTest, TestFindings, TestParams, TestResults, TestSummary } from './schemas.ts'
import { type Submitted, submitTest } from './submit.ts'
import { SheetFields, sendSubmitted, sheetRequest } from './submitted.ts'

const READERS = { access: { roles: ['firm', 'program', 'auditor', 'keeper'], scope: 'tests:read' } } as const
/** A stored test is evaluated again, which a changed record may not allow. */
const EVALUATED = { ...READERS, problems: ['conflict'], readLog: { of: 'test' } } as const

const ListQuery = Type.Object(
  {
    ...PageQuery,
    plant: Type.Optional(
      Type.String({
        pattern: '^[A-Za-z0-9][A-Za-z0-9._-]{0,39}$',
        minLength: 1,
        maxLength: 40,
        description: 'Code of a plant.',
      }),
    ),
    testedFrom: Type.Optional(Type.String({ format: 'date', maxLength: 10, description: 'First day of the visit.' })),
    versions: Type.Enum(['latest', 'all'], {
      default: 'latest',
      description:
        '`latest` leaves out versions whose place a later one took; what was withdrawn is listed, and marked.',
    }),
    testedTo: Type.Optional(Type.String({ format: 'date', maxLength: 10, description: 'Last day of the visit.' })),
  },
  { additionalProperties: false },
)

const BY_DAY: Place<TestPlace, TestPlace> = {
  valuesOf: ({ testedOn, id }) => [testedOn, id],
  from: ([testedOn, id]) => ({ testedOn: testedOn!, id: id! }),
}

export const fieldTestRoutes: FastifyPluginAsyncTypebox<Deps & { tests: TestReader; ledger: LedgerAppends }> = async (
  app,
  deps,
) => {
  const inFlight = new InFlight<Submitted>()
  const writer = groupWrites(deps.databases.writer, deps.ledger, { observe: app.observeBatch })
  // What was accepted is stored and answered before the pools close.
  app.addHook('onClose', () => writer.drain())
  const cursors = new Cursors(deps.config.keyPepper, deps.now)

  app.post(
    '/v1/tests',
    {
      config: {
        access: { roles: ['firm'], scope: 'tests:write' },
        bodyBytesMax: SHEET_BYTES_MAX,
        sheet: true,
        receipted: true,
        problems: ['reference-not-found', 'idempotency-key-reused', 'idempotency-in-progress', 'conflict'],
      },
      schema: {
        operationId: 'tests.submit',
        tags: ['Tests'],
        summary: 'Submit one test',
        description:
          'Stores the sheet as received, evaluates it, writes it into the ledger and answers with results and findings. ' +
          'A sheet of the right shape is always kept, whatever its findings. What other tests say of it is found ' +
          'afterwards, within seconds: `record` says so. Sent again with the same Idempotency-Key ' +
          'and the same bytes it gets the same answer, with `Idempotent-Replayed: true`.',
        headers: SheetFields('submission'),
        body: Sheet,
        response: { 201: FieldTest },
      },
    },
    async (request, reply) => {
      const asked = sheetRequest(request, { route: '/v1/tests', pathValues: [] })
      return sendSubmitted(reply, await submitTest({ ...deps, writer }, inFlight, asked))
    },
  )

  app.get(
    '/v1/tests',
    {
      config: { ...READERS, readLog: { of: 'list' } },
      schema: {
        operationId: 'tests.list',
        tags: ['Tests'],
        summary: 'List tests, newest visit first',
        description: 'Tests this key may see, with their main quantities; filtered by plant and date of the visit.',
        querystring: ListQuery,
        response: { 200: Page('TestPage', TestSummary) },
      },
    },
    async (request, reply) => {
      const { limit: _limit, cursor: _cursor, ...filter } = request.query
      const listTests = request.principal.role === 'program' ? listGivenTests : listStoredTests
      return cursors.pageBy(
        BY_DAY,
        { request, reply, list: { order: 'tests', filter } },
        ({ after, limit }) =>
          deps.databases.asPrincipal(request.principal, (tx) => listTests(tx, filter, after, limit)),
        testSummary,
      )
    },
  )

  app.get(
    '/v1/tests/:testId',
    {
      config: EVALUATED,
      schema: {
        operationId: 'tests.get',
        tags: ['Tests'],
        summary: 'Read one test with its results',
        description:
          'Evaluates the stored sheet and context again under the edition of the test; `replay` says whether the outcome ' +
          'is the recorded one to the last bit. Where it differs, the answer is what was recorded, as far as it is kept: ' +
          '`answeredFrom` says from what. Tells what became of the test: a later version, a withdrawal; and, in `record`, ' +
          'what comparing it with other tests found.',
        params: TestParams,
        response: { 200: FieldTest },
      },
    },
    async (request, reply) =>
      sendJson(
        reply,
        await deps.tests.answer(request.principal, uuidOf('test', request.params.testId), 'test', storedFieldTest),
      ),
  )

  app.get(
    '/v1/tests/:testId/results',
    {
      // Made of the sheet, its context and its edition, none of which ever changes.
      config: { ...EVALUATED, immutable: true },
      schema: {
        operationId: 'tests.results',
        tags: ['Tests'],
        summary: 'Read the results of a test',
        description: 'Computed quantities with their uncertainty, those withheld, and the check by calculator.',
        params: TestParams,
        response: { 200: TestResults },
      },
    },
    async (request, reply) => {
      const { testId } = request.params
      const bytes = await deps.tests.answer(request.principal, uuidOf('test', testId), 'results', (test) => {
        const { edition, results, withheld, handChecks } = test.evaluation
        changesIfDiffering(reply, test)
        return jsonOf(reply, { test: testId, edition, ...provenanceOf(test), results, withheld, handChecks })
      })
      return sendJson(reply, bytes)
    },
  )

  app.get(
    '/v1/tests/:testId/findings',
    {
      config: EVALUATED,
      schema: {
        operationId: 'tests.findings',
        tags: ['Tests'],
        summary: 'Read the findings of a test',
        description:
          'What was found, where, against which limit and what to do; what other tests in the record say of it; and what ' +
          'to re-measure first.',
        params: TestParams,
        response: { 200: TestFindings },
      },
    },
    async (request, reply) => {
      const { testId } = request.params
      const bytes = await deps.tests.answer(request.principal, uuidOf('test', testId), 'findings', (test) => {
        const { edition, findings, advice } = test.evaluation
        const { replay, from, standing, record } = test
        const { soundness } = standing
        return jsonOf(reply, { test: testId, edition, soundness, replay, answeredFrom: from, findings, record, advice })
      })
      return sendJson(reply, bytes)
    },
  )
}
