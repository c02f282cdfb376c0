/** `/v1/tests/{id}/trace/{quantity}`: how one quantity follows from readings. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { QuantityId, Trace, traceQuantity } from '@liftledger/calc'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { loadTest } from '../field-tests/load.ts'
import { uuidOf } from '../http/ids.ts'
import { Problem } from '../http/problem.ts'

export const traceRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, deps) => {
  app.get(
    '/v1/tests/:testId/trace/:quantity',
    {
      config: { access: { roles: ['firm', 'program', 'auditor', 'keeper'], scope: 'tests:read' } },
      schema: {
        operationId: 'tests.trace',
        tags: ['Tests'],
        summary: 'Trace a quantity down to readings',
        description:
          'Nodes from the quantity down to raw readings, each with formula, source, value, unit and sensitivity; ' +
          'and the budget of its uncertainty, whose shares add up to one. Made again from sheet, context and edition.',
        params: Type.Object({
          testId: Type.String({ maxLength: 60, description: 'Id of the test.' }),
          quantity: QuantityId,
        }),
        querystring: Type.Object({
          run: Type.Optional(
            Type.Integer({
              minimum: 0,
              maximum: 19,
              description: 'Index of the run; that of the plant’s normal condition if absent.',
            }),
          ),
        }),
        response: { 200: Trace },
      },
    },
    async (request) => {
      const { testId, quantity } = request.params
      const id = uuidOf('test', testId)
      const { sheet, context, edition } = await deps.databases.asPrincipal(request.principal, (tx) => loadTest(tx, id))
      const run = request.query.run ?? sheet.normalRun ?? 0
      const trace = traceQuantity(sheet, context, edition, { quantity, run })
      if (trace === undefined)
        throw new Problem(
          'not-found',
          `The readings of run ${run} of test '${testId}' do not give the quantity ${quantity}.`,
        )
      return trace
    },
  )
}
