/** `/v1/context`: what an evaluation will lean on, to be carried into the field. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Context } from '@liftledger/calc'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { loadContext } from './context.ts'
import { Code } from './schemas.ts'

const INSTRUMENTS_MAX = 50

export const contextRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases }) => {
  app.get(
    '/v1/context',
    {
      config: { access: { roles: ['firm'], scope: 'plants:read' }, problems: ['reference-not-found'] },
      schema: {
        operationId: 'context.get',
        tags: ['Context'],
        summary: 'The context of a visit',
        description:
          'The records that an evaluation of this plant, tester and day leans on. With it a sheet can be evaluated ' +
          'without signal, to the same figures.',
        querystring: Type.Object(
          {
            plant: Code('Code of the plant.'),
            tester: Code('Code of the tester.'),
            instruments: Type.Optional(
              Type.String({
                pattern: `^[A-Za-z0-9][A-Za-z0-9._-]{0,39}(,[A-Za-z0-9][A-Za-z0-9._-]{0,39}){0,${INSTRUMENTS_MAX - 1}}$`,
                maxLength: 41 * INSTRUMENTS_MAX,
                description: 'Codes of the instruments, separated by commas.',
              }),
            ),
            testedOn: Type.String({
              format: 'date',
              maxLength: 10,
              description: 'Day of the visit in the plant’s time zone.',
            }),
          },
          { additionalProperties: false },
        ),
        response: { 200: Context },
      },
    },
    async ({ query, principal }) => {
      const { context } = await loadContext(databases, principal, {
        plantCode: query.plant,
        testerCode: query.tester,
        instruments: [...new Set(query.instruments?.split(','))].map((code) => ({ code, pointer: '/instruments' })),
        testedOn: query.testedOn,
      })
      return context
    },
  )
}
