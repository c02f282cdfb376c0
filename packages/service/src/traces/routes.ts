/** `/v1/tests/{id}/trace/{quantity}`: how one quantity follows from readings. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { QuantityId, Trace, traceQuantity } from '@liftledger/calc'
import { Type } from 'typebox'
import type { TestReader } from '../field-tests/load.ts'
import { changesIfDiffering, jsonOf, sendJson } from '../http/caching.ts'
import { uuidOf } from '../http/ids.ts'
import { Problem } from '../http/problem.ts'

const TestTrace = Type.Object(
  {
    ...Trace.properties,
    replay: Type.Enum(['identical', 'differs'], {
      description:
        'Whether evaluating the test again gives the evaluation that was recorded. Where it differs this is how the ' +
        'quantity follows now, which need not lead to the recorded figure.',
    }),
    recorded: Type.Optional(
      Type.Number({ description: 'The recorded value in `unit`, where the replay differs and the value is kept.' }),
    ),
  },
  { title: 'TestTrace', description: 'Trace of a quantity of a stored test.', additionalProperties: false },
)

const notThere = (detail: string) => new Problem('not-found', detail)

export const traceRoutes: FastifyPluginAsyncTypebox<{ tests: TestReader }> = async (app, { tests }) => {
  app.get(
    '/v1/tests/:testId/trace/:quantity',
    {
      config: {
        access: { roles: ['firm', 'program', 'auditor', 'keeper'], scope: 'tests:read' },
        readLog: { of: 'test' },
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
        response: { 200: TestTrace },
      },
    },
    async (request, reply) => {
      const { testId, quantity } = request.params
      const { run: asked } = request.query
      const name = `trace/${quantity}/${asked ?? 'normal'}`
      const bytes = await tests.answer(request.principal, uuidOf('test', testId), name, (test) => {
        const { sheet, context, edition, replay } = test
        const [run, runs] = [asked ?? sheet.normalRun ?? 0, sheet.runs.length]
        if (run >= runs) throw notThere(`Test '${testId}' has no run ${run}; it has ${runs}, counted from 0.`)
        const trace = traceQuantity(sheet, context, edition, { quantity, run })
        if (trace === undefined) throw notThere(`Run ${run} of test '${testId}' has no readings for ${quantity}.`)
        changesIfDiffering(reply, test)
        if (replay === 'identical') return jsonOf(reply, { ...trace, replay })
        const recorded = test.evaluation.results.find((one) => one.run === run && one.quantity === quantity)?.value
        return jsonOf(reply, { ...trace, replay, ...(recorded !== undefined && { recorded }) })
      })
      return sendJson(reply, bytes)
    },
  )
}
