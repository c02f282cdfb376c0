/** `/v1/tests/{id}/record-findings`: what comparing a test with others found, and what that rests on. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { toWire, uuidOf } from '../http/ids.ts'
import { notFound } from '../http/problem.ts'
import { type FoundRow, findComparison, listWithBasis } from './queries.ts'
import { RecordFindings } from './schemas.ts'
import { toFindingFromRecord } from './told.ts'

type WithBasis = NonNullable<RecordFindings['findings']>[number]

const toFinding = (row: FoundRow): WithBasis => ({
  ...toFindingFromRecord(row),
  basisSha256: row.basis_sha256.toString('hex'),
  ...(row.against !== null && {
    basis: {
      against: row.against.map((id) => toWire('test', id)),
      values: row.figuresOfOthers as unknown as NonNullable<WithBasis['basis']>['values'],
    },
  }),
})

export const recordFindingRoutes: FastifyPluginAsyncTypebox<Pick<Deps, 'databases'>> = async (app, { databases }) => {
  app.get(
    '/v1/tests/:testId/record-findings',
    {
      config: { access: { roles: ['firm', 'program', 'auditor'], scope: 'tests:read' }, readLog: { of: 'test' } },
      schema: {
        operationId: 'tests.recordFindings',
        tags: ['Tests'],
        summary: 'Read what other tests say of a test',
        description:
          'Findings of comparing the test with what the record held before it, with the hashes by which they stand in the ' +
          'ledger. Which tests a finding rests on is told to who may read every one of them: an auditor, a program that ' +
          'was given them, a firm whose own they are.',
        params: Type.Object({ testId: Type.String({ maxLength: 60, description: 'Id of the test.' }) }),
        response: { 200: RecordFindings },
      },
    },
    async ({ params: { testId }, principal }): Promise<RecordFindings> => {
      const id = uuidOf('test', testId)
      return databases.asPrincipal(principal, async (tx) => {
        const found = await findComparison(tx, id)
        if (found === undefined) throw notFound('test', testId)
        const { comparison } = found
        if (comparison === undefined) return { test: testId, compared: false }
        return {
          test: testId,
          compared: true,
          comparedAt: comparison.compared_at.toISOString(),
          before: Number(comparison.ledger_index),
          edition: comparison.edition,
          salt: comparison.salt.toString('hex'),
          sha256: comparison.sha256.toString('hex'),
          findings: (await listWithBasis(tx, id)).map(toFinding),
        }
      })
    },
  )
}
