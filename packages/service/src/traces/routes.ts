/** `/v1/tests/{id}/trace/{quantity}`: how one quantity follows from readings. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { QuantityId, Trace, traceQuantity } from '@liftledger/calc'
import { Type } from 'typebox'
import type { TestReader } from '../field-tests/load.ts'
import { jsonOf, sendJson } from '../http/caching.ts'
import { uuidOf } from '../http/ids.ts'
import { Problem } from '../http/problem.ts'

const notThere = (detail: string) => new Problem('not-found', detail)

export const traceRoutes: FastifyPluginAsyncTypebox<{ tests: TestReader }> = async (app, { tests }) => {
  app.get(
    '/v1/tests/:testId/trace/:quantity',
    {
      config: {
        access: { roles: ['firm', 'program', 'auditor', 'keeper'], scope: 'tests:read' },
        problems: ['conflict'],
        // Made of the sheet, its context and its edition, none of which ever changes.
        immutable: true,
      },
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
        querystring: Type.Object(
          {
            run: Type.Optional(
              Type.Integer({
                minimum: 0,
                maximum: 19,
                description: 'Index of the run; that of the plant’s normal condition if absent.',
              }),
            ),
          },
          { additionalProperties: false },
        ),
        response: { 200: Trace },
      },
    },
    async (request, reply) => {
      const { testId, quantity } = request.params
      const { run: asked } = request.query
      const name = `trace/${quantity}/${asked ?? 'normal'}`
      const bytes = await tests.answer(request.principal, uuidOf('test', testId), name, (loaded) => {
        const { sheet, context, edition } = loaded
        const [run, runs] = [asked ?? sheet.normalRun ?? 0, sheet.runs.length]
        if (run >= runs) throw notThere(`Test '${testId}' has no run ${run}; it has ${runs}, counted from 0.`)
        const trace = traceQuantity(sheet, context, edition, { quantity, run })
        if (trace === undefined) throw notThere(`Run ${run} of test '${testId}' has no readings for ${quantity}.`)
        return jsonOf(reply, trace)
      })
      return sendJson(reply, bytes)
    },
  )
}
