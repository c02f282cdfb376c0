/** `/v1/statistics/testers`: whether testers find alike, as figures and as a chart. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { type Static, Type } from 'typebox'
import type { Deps } from '../../deps.ts'
import { acceptedForm } from '../../http/accept.ts'
import { CSV, sendTable, TABLE_FORMS } from '../../http/csv.ts'
import type { Principal } from '../../http/principal.ts'
import { ChartForm } from '../charts/form.ts'
import { testersChart } from '../charts/testers.ts'
import { scopeOf } from '../gather.ts'
import { questionOf } from '../query.ts'
import { testerStatistics } from './answer.ts'
import { testersCsv } from './csv.ts'
import { gatherTests } from './gather.ts'
import { TesterStatistics } from './schemas.ts'

/** A firm is not told how testers of others fare, and its own can't be shown without them. */
const READERS = {
  access: {
    roles: ['program', 'auditor'],
    scope: 'tests:read',
    others:
      'A program sees the testers of the tests it was given, an auditor all. Firms don’t see one another’s testers.',
  },
  readLog: { of: 'list' },
} as const

const Asked = {
  driver: Type.Enum(['electric-motor', 'engine'], {
    default: 'electric-motor',
    description: 'Driver of the plants: what electric motors and engines take in differs in kind.',
  }),
  yearFrom: Type.Optional(Type.Integer({ minimum: 1900, maximum: 2200, description: 'First year of the visit.' })),
  yearTo: Type.Optional(Type.Integer({ minimum: 1900, maximum: 2200, description: 'Last year of the visit.' })),
}
const TestersQuery = Type.Object(Asked, { additionalProperties: false })
const TestersChartQuery = Type.Object({ ...Asked, ...ChartForm }, { additionalProperties: false })

export const testerStatisticsRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases }) => {
  const answerOf = (principal: Principal, asked: Static<typeof TestersQuery>): Promise<TesterStatistics> =>
    databases.asPrincipal(principal, async (tx) => {
      const gathered = await gatherTests(tx, scopeOf(principal), questionOf(asked, 'driver'))
      const of = principal.role === 'program' ? 'tests-given-to-the-program' : 'all-tests'
      return testerStatistics(gathered, { driver: asked.driver, of })
    })

  app.get(
    '/v1/statistics/testers',
    {
      config: { ...READERS, problems: ['not-acceptable', 'invalid-request'] },
      schema: {
        operationId: 'statistics.readTesters',
        tags: ['Statistics'],
        summary: 'Read whether testers find alike',
        description:
          'Overall plant efficiency by tester, held against limits of chance and of the spread between testers. Twice: ' +
          'over all sound tests after kind, power class, region and age of the plants are taken out, from twenty tests on; and ' +
          'over pairs of tests of the same plant by two firms within 120 days, the stronger evidence, from eight pairs on. ' +
          'A difference is no fault: it is a reason to compare instruments. As JSON or, by Accept, as CSV.',
        querystring: TestersQuery,
        response: {
          200: {
            description: 'Results by tester.',
            content: {
              'application/json': { schema: TesterStatistics },
              [CSV]: {
                schema: Type.String({
                  maxLength: 20_000_000,
                  description: 'One row a tester and comparison. RFC 4180, with a header line.',
                }),
              },
            },
          },
        },
      },
    },
    async ({ headers, query, principal }, reply) => {
      const form = acceptedForm(headers.accept, TABLE_FORMS)
      const answer = await answerOf(principal, query)
      reply.itemCount = answer.tests
      return sendTable(reply, form, answer, () => testersCsv(answer))
    },
  )

  app.get(
    '/v1/statistics/testers/chart',
    {
      config: { ...READERS, problems: ['invalid-request'] },
      schema: {
        operationId: 'statistics.drawTesters',
        tags: ['Statistics'],
        summary: 'Draw testers against their limits',
        description:
          'Both comparisons as SVG: the difference of each tester over the number of tests, with the limits. Axis, units, ' +
          'intervals and counts stand in the chart; colours follow the reader’s system, or the theme asked for.',
        querystring: TestersChartQuery,
        response: {
          200: {
            description: 'The chart.',
            content: { 'image/svg+xml': { schema: Type.String({ maxLength: 2_000_000, description: 'SVG.' }) } },
          },
        },
      },
    },
    async ({ query, principal }, reply) => {
      const { width, theme, ...asked } = query
      const answer = await answerOf(principal, asked)
      reply.itemCount = answer.tests
      return reply.type('image/svg+xml; charset=utf-8').send(testersChart(answer, { width, theme }))
    },
  )
}
