/** `/v1/tests/{id}/revisions`, `/withdrawal`, `/versions`, `/difference`: a test is corrected or taken back, never changed. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { editionById, editions, Sheet } from '@liftledger/calc'
import { Type } from 'typebox'
import { SHEET_BYTES_MAX } from '../http/body.ts'
import { InFlight } from '../http/idempotency.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { notFound, Problem } from '../http/problem.ts'
import { type LedgerDeps, receiptFor } from '../ledger/append.ts'
import { entriesLink } from './answer.ts'
import { versionDifference } from './difference.ts'
import { fromStored, readTest } from './load.ts'
import { replayTest } from './replay.ts'
import { reviseTest, withdrawTest } from './revise.ts'
import {
  RevisionReason,
  TestReplay,
  TestToWithdraw,
  type TestVersion,
  TestVersions,
  VersionDifference,
  Withdrawal,
} from './revision-schemas.ts'
import { FieldTest } from './schemas.ts'
import type { Submitted } from './submit.ts'
import { SheetFields, sendSubmitted, sheetRequest } from './submitted.ts'
import { listVersions, type VersionRow } from './versions.ts'

const ROUTE = '/v1/tests/:testId/revisions'
const Params = Type.Object({ testId: Id('test', 'Id of the test.') })

function toVersion(row: VersionRow): TestVersion {
  const id = toWire('test', row.id)
  return {
    id,
    revision: row.revision,
    testedOn: row.testedOn,
    receivedAt: row.receivedAt.toISOString(),
    edition: row.edition,
    soundness: row.soundness,
    firmId: toWire('firm', row.firmId),
    submittedBy: row.submittedBy,
    ...(row.revises !== null && { revises: toWire('test', row.revises) }),
    ...(row.reason !== null && { reason: row.reason }),
    ...(row.successor !== null && { supersededBy: toWire('test', row.successor) }),
    ...(row.withdrawnAt !== null && {
      withdrawal: {
        test: id,
        reason: row.withdrawnFor!,
        withdrawnAt: row.withdrawnAt.toISOString(),
        withdrawnBy: row.withdrawnBy!,
      },
    }),
    links: { test: `/v1/tests/${id}`, entries: entriesLink(id) },
  }
}

export const revisionRoutes: FastifyPluginAsyncTypebox<LedgerDeps> = async (app, deps) => {
  const { databases } = deps
  const inFlight = new InFlight<Submitted>()

  app.post(
    ROUTE,
    {
      config: {
        access: { roles: ['firm'], scope: 'tests:write' },
        bodyBytesMax: SHEET_BYTES_MAX,
        sheet: true,
        receipted: true,
        problems: ['reference-not-found', 'idempotency-key-reused', 'idempotency-in-progress', 'conflict'],
      },
      schema: {
        operationId: 'tests.revise',
        tags: ['Tests'],
        summary: 'Submit a corrected sheet',
        description:
          'The sheet takes the place of the latest version of the test, which stays readable. It is stored, evaluated ' +
          'and written into the ledger like any other, under an id of its own; the body is the sheet alone, so that its ' +
          'bytes are hashed as received. The plant stays; anything else may be corrected, the date too. Programs that ' +
          'have the revised version have the new one. Of two revisions of one version the second is refused and told ' +
          'the latest. Idempotency-Key as for a first submission.',
        params: Params,
        querystring: Type.Object({ reason: RevisionReason }, { additionalProperties: false }),
        headers: SheetFields('revision'),
        body: Sheet,
        response: { 201: FieldTest },
      },
    },
    async (request, reply) => {
      const { params, query } = request
      const asked = sheetRequest(request, { route: ROUTE, pathValues: [params.testId, query.reason] })
      const revised = uuidOf('test', params.testId)
      return sendSubmitted(reply, await reviseTest(deps, inFlight, { ...asked, revised, reason: query.reason }))
    },
  )

  app.post(
    '/v1/tests/:testId/withdrawal',
    {
      config: { access: { roles: ['firm'], scope: 'tests:write' }, problems: ['conflict'], receipted: true },
      schema: {
        operationId: 'tests.withdraw',
        tags: ['Tests'],
        summary: 'Take a test back',
        description:
          'For good: it can be neither revised nor decided on any more, counts in no history, and stays readable with ' +
          'its reason. Only the latest version can be withdrawn.',
        params: Params,
        body: TestToWithdraw,
        response: { 201: Withdrawal },
      },
    },
    async ({ params, principal, body: { reason } }, reply) => {
      const asked = { principal, testId: uuidOf('test', params.testId), reason }
      const { withdrawnAt, stored } = await withdrawTest(deps, asked)
      return receiptFor(reply, deps, stored).code(201).header('location', `/v1/tests/${params.testId}/versions`).send({
        test: params.testId,
        reason,
        withdrawnAt: withdrawnAt.toISOString(),
        withdrawnBy: principal.keyId,
      })
    },
  )

  app.get(
    '/v1/tests/:testId/versions',
    {
      config: {
        access: { roles: ['firm', 'program', 'auditor', 'keeper'], scope: 'tests:read' },
        readLog: { of: 'test' },
      },
      schema: {
        operationId: 'tests.versions',
        tags: ['Tests'],
        summary: 'List the versions of a test',
        description:
          'From the sheet as first submitted to the latest, with reason and author; the same whichever version is ' +
          'named. A program sees those given to it.',
        params: Params,
        response: { 200: TestVersions },
      },
    },
    async ({ params, principal }) => {
      const id = uuidOf('test', params.testId)
      const rows = await databases.asPrincipal(principal, (tx) => listVersions(tx, id, principal.role))
      if (rows.length === 0) throw notFound('test', params.testId)
      return { versions: rows.map(toVersion) }
    },
  )

  app.get(
    '/v1/tests/:testId/difference',
    {
      config: {
        access: { roles: ['firm', 'program', 'auditor', 'keeper'], scope: 'tests:read' },
        readLog: { of: 'test' },
        problems: ['conflict'],
      },
      schema: {
        operationId: 'tests.difference',
        tags: ['Tests'],
        summary: 'Compare two versions of a test',
        description:
          'Readings by JSON Pointer, results by run and quantity, findings by name and place: what another version, by ' +
          'default the one before, has and this one has not, and the other way round.',
        params: Params,
        querystring: Type.Object(
          { from: Type.Optional(Id('test', 'Another version; the one whose place this took, if absent.')) },
          { additionalProperties: false },
        ),
        response: { 200: VersionDifference },
      },
    },
    async ({ params, principal, query }) => {
      const id = uuidOf('test', params.testId)
      return databases.asPrincipal(principal, async (tx) => {
        const to = await readTest(tx, id)
        const other = query.from === undefined ? to.stored.revises : uuidOf('test', query.from)
        if (other === null)
          throw new Problem(
            'conflict',
            `Test '${params.testId}' took no other’s place; name one of its versions in from.`,
          )
        const from = await readTest(tx, other)
        const versions = await listVersions(tx, id, principal.role)
        if (!versions.some((version) => version.id === other))
          throw new Problem('conflict', `Test '${toWire('test', other)}' is no version of test '${params.testId}'.`)
        return { from: toWire('test', other), to: params.testId, ...versionDifference(from, to) }
      })
    },
  )

  app.get(
    '/v1/tests/:testId/replay',
    {
      config: {
        access: { roles: ['firm', 'program', 'auditor', 'keeper'], scope: 'tests:read' },
        readLog: { of: 'test' },
        problems: ['conflict'],
      },
      schema: {
        operationId: 'tests.replay',
        tags: ['Tests'],
        summary: 'Evaluate a stored test again',
        description:
          'From the sheet as received and its context, under the edition of the test or another. Says `identical`, or ' +
          'lists every difference from what is stored by JSON Pointer. Where nothing but the record is kept, soundness, ' +
          'findings and main quantities are compared, the last under `/main`.',
        params: Params,
        querystring: Type.Object(
          {
            edition: Type.Optional(
              Type.Enum(
                editions.map(({ id }) => id),
                { description: 'Method edition; that of the test if absent.' },
              ),
            ),
          },
          { additionalProperties: false },
        ),
        response: { 200: TestReplay },
      },
    },
    async ({ params, principal, query }) => {
      const id = uuidOf('test', params.testId)
      const test = await databases.asPrincipal(principal, (tx) => readTest(tx, id))
      return fromStored(id, () =>
        replayTest(test, query.edition === undefined ? undefined : editionById(query.edition)),
      )
    },
  )
}
