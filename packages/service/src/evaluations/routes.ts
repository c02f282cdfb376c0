/** `/v1/evaluations`: the same calculation, nothing stored. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import {
  Context,
  Evaluation,
  evaluate,
  latestEdition,
  namedInstruments,
  QuantityId,
  Sheet,
  Trace,
  traceQuantity,
} from '@liftledger/calc'
import { canonicalBytes } from '@liftledger/ledger'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { SHEET_BYTES_MAX } from '../http/body.ts'
import { refuseImpossibleShape } from '../http/impossible-shape.ts'
import { sha256Hex } from '../http/sha256.ts'
import { loadContext } from '../registry/context.ts'

const Digest = (description: string) =>
  Type.String({ pattern: '^[0-9a-f]{64}$', minLength: 64, maxLength: 64, description })

const EvaluationAnswer = Type.Object(
  {
    evaluation: Evaluation,
    context: Context,
    contextSha256: Digest('SHA-256 of the canonical context.'),
    evaluationSha256: Digest(
      'SHA-256 of the canonical evaluation: a test with this sheet and context would have the same.',
    ),
    trace: Type.Optional(Trace),
  },
  {
    title: 'EvaluationAnswer',
    description: 'What the edition makes of the sheet, and the records it leaned on.',
    additionalProperties: false,
  },
)

export const evaluationRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, deps) => {
  app.post(
    '/v1/evaluations',
    {
      config: {
        access: { roles: ['firm'], scope: 'evaluations:write' },
        bodyBytesMax: SHEET_BYTES_MAX,
        sheet: true,
        problems: ['reference-not-found'],
      },
      schema: {
        operationId: 'evaluations.create',
        tags: ['Evaluations'],
        summary: 'Evaluate a sheet without storing it',
        description:
          'Results, findings and advice while the pump still runs. Nothing is stored. With `trace` the derivation of ' +
          'one quantity of the normal run is added. The context is answered too, so that the same evaluation can be ' +
          'made without a signal.',
        querystring: Type.Object({ trace: Type.Optional(QuantityId) }, { additionalProperties: false }),
        body: Sheet,
        response: { 200: EvaluationAnswer },
      },
    },
    async (request) => {
      const { body: sheet, query } = request
      refuseImpossibleShape(sheet)
      const found = await loadContext(deps.databases, request.principal, {
        plantCode: sheet.plant,
        testerCode: sheet.tester,
        instruments: namedInstruments(sheet),
        testedOn: sheet.testedOn,
      })
      const { context } = found
      const evaluation = evaluate(sheet, context, latestEdition)
      const trace =
        query.trace &&
        traceQuantity(sheet, context, latestEdition, { quantity: query.trace, run: sheet.normalRun ?? 0 })
      return {
        evaluation,
        context,
        contextSha256: found.sha256.toString('hex'),
        evaluationSha256: sha256Hex(canonicalBytes(evaluation)),
        ...(trace && { trace }),
      }
    },
  )
}
