/** `/v1/tests/{id}/trace/{quantity}`: how one quantity follows from readings. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { instrumentOfReading, QuantityId, Trace, traceQuantity } from '@liftledger/calc'
import { type Static, Type } from 'typebox'
import type { ReadTest, TestReader } from '../field-tests/load.ts'
import { changesIfDiffering, jsonOf, sendJson } from '../http/caching.ts'
import { uuidOf } from '../http/ids.ts'
import { Problem } from '../http/problem.ts'

const Path = (description: string) => Type.String({ maxLength: 700, description })

const TracedReading = Type.Object(
  {
    node: Type.Integer({ minimum: 0, maximum: 5000, description: 'Index in `nodes` of the leaf.' }),
    link: Path('The sheet as received; behind `#` the JSON Pointer at which the reading stands in it (RFC 6901, 6).'),
    instrument: Type.Optional(
      Type.String({ maxLength: 40, description: 'Code of the instrument it was read with, as the sheet names it.' }),
    ),
    certificate: Type.Optional(
      Path('The context as recorded; behind `#` the JSON Pointer to that instrument with its certificate.'),
    ),
  },
  { title: 'TracedReading', description: 'A leaf that was read on the visit.', additionalProperties: false },
)

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
    readings: Type.Array(TracedReading, {
      maxItems: 5000,
      description: 'Leaves that were read on the visit: where each stands as received, and what it was read with.',
    }),
    links: Type.Object(
      {
        test: Path('The test.'),
        sheet: Path('The sheet, byte for byte as received.'),
        context: Path('The context, byte for byte as recorded.'),
      },
      { title: 'TestTraceLinks', description: 'Where to read on.', additionalProperties: false },
    ),
  },
  { title: 'TestTrace', description: 'Trace of a quantity of a stored test.', additionalProperties: false },
)

/** Where the readings of a trace stand. Codes and names of the sheet's members need no escape in a fragment. */
function readingsOf({ nodes }: Trace, { sheet, context }: ReadTest, self: string): Static<typeof TracedReading>[] {
  return nodes.flatMap(({ node, id, reading }) => {
    if (id !== 'reading' || reading === undefined) return []
    const instrument = instrumentOfReading(sheet, reading.place)
    const at = context.instruments.findIndex(({ code }) => code === instrument)
    return {
      node,
      link: `${self}/sheet#${reading.place}`,
      ...(instrument !== undefined && { instrument }),
      ...(at >= 0 && { certificate: `${self}/context#/instruments/${at}` }),
    }
  })
}

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
        const self = `/v1/tests/${testId}`
        const links = { test: self, sheet: `${self}/sheet`, context: `${self}/context` }
        const answer = { ...trace, replay, readings: readingsOf(trace, test, self), links }
        if (replay === 'identical') return jsonOf(reply, answer)
        const recorded = test.evaluation.results.find((one) => one.run === run && one.quantity === quantity)?.value
        return jsonOf(reply, { ...answer, ...(recorded !== undefined && { recorded }) })
      })
      return sendJson(reply, bytes)
    },
  )
}
