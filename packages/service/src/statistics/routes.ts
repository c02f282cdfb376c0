/** `/v1/statistics`: grouped figures, trends, charts, and the tests behind them. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { acceptedForm } from '../http/accept.ts'
import { CSV, sendTable, TABLE_FORMS } from '../http/csv.ts'
import { Cursors, Page, PageQuery, type Place } from '../http/cursor.ts'
import { Id, toWire } from '../http/ids.ts'
import { chartRoutes } from './chart-routes.ts'
import { statisticsCsv, trendCsv } from './csv.ts'
import { scopeOf } from './gather.ts'
import { publishedRoutes } from './published/routes.ts'
import { FilterQuery, GroupBy, questionOf } from './query.ts'
import { READERS } from './readers.ts'
import { MeasureId, Statistics, StatisticsTrend } from './schemas.ts'
import { statisticsOf, trendAnswer } from './statistics.ts'
import { REASONS } from './sums.ts'
import { testerStatisticsRoutes } from './testers/routes.ts'
import { type ListedTest, listTests } from './tests.ts'

const TrendQuery = Type.Object({ ...FilterQuery, groupBy: GroupBy }, { additionalProperties: false })
const StatisticsQuery = Type.Object(
  { ...FilterQuery, groupBy: GroupBy, measure: MeasureId },
  { additionalProperties: false },
)

export const CountedTest = Type.Object(
  {
    testId: Id('test', 'Id of the test.'),
    plantId: Id('plant', 'Id of the plant.'),
    testedOn: Type.String({ format: 'date', maxLength: 10, description: 'Day of the visit.' }),
    counts: Type.Boolean({ description: 'Whether it is in the figures.' }),
    leftOutBecause: Type.Optional(Type.Enum([...REASONS], { description: 'Why it isn’t.' })),
    overallPlantEfficiency: Type.Optional(Type.Number({ description: 'Overall plant efficiency, a ratio.' })),
    href: Type.String({ maxLength: 100, description: 'The test.' }),
  },
  { title: 'CountedTest', description: 'A test behind a figure.', additionalProperties: false },
)
const CountedTestPage = Page('CountedTestPage', CountedTest)

const BY_PLACE: Place<ListedTest, number> = {
  valuesOf: ({ place }) => [String(place)],
  from: ([place]) => Number(place),
}

const toCounted = ({ test, left }: ListedTest) => ({
  testId: toWire('test', test.test_id),
  plantId: toWire('plant', test.plant_id),
  testedOn: test.tested_on!,
  counts: left === undefined,
  ...(left !== undefined && { leftOutBecause: left }),
  ...(test.efficiency !== null && { overallPlantEfficiency: test.efficiency }),
  href: `/v1/tests/${toWire('test', test.test_id)}`,
})

export const statisticsRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, deps) => {
  const { databases, config, now } = deps
  const cursors = new Cursors(config.keyPepper, now)
  const tableOf = (description: string) =>
    Type.String({ maxLength: 5_000_000, description: `${description} RFC 4180, with a header line.` })

  app.get(
    '/v1/statistics',
    {
      config: READERS,
      schema: {
        operationId: 'statistics.read',
        tags: ['Statistics'],
        summary: 'Read grouped figures over tests',
        description:
          'A firm reads figures of its own tests, a program of the tests it was given and judged by its own decisions, an ' +
          'auditor of all; figures are of this moment. Of each plant and year the last sound test counts; what was left ' +
          'out is told with the reason. Electric motors and engines are never pooled. Means have intervals over plants, ' +
          'percentiles by order statistics. As JSON or, by Accept, as CSV.',
        querystring: StatisticsQuery,
        response: {
          200: {
            description: 'Figures by group.',
            content: { 'application/json': { schema: Statistics }, [CSV]: { schema: tableOf('One row a group.') } },
          },
        },
      },
    },
    async ({ headers, query, principal }, reply) => {
      const form = acceptedForm(headers.accept, TABLE_FORMS)
      const answer = await statisticsOf(databases, principal, query)
      reply.itemCount = answer.items.length
      return sendTable(reply, form, answer, () => statisticsCsv(answer))
    },
  )

  app.get(
    '/v1/statistics/trends',
    {
      config: READERS,
      schema: {
        operationId: 'statistics.trends',
        tags: ['Statistics'],
        summary: 'Read how efficiency went over the years',
        description:
          'All plants tested in each year, and beside it the changes of the same plants from one year to the next, which is ' +
          'the honest trend: who comes to be tested changes too.',
        querystring: TrendQuery,
        response: {
          200: {
            description: 'Trends by group.',
            content: {
              'application/json': { schema: StatisticsTrend },
              [CSV]: { schema: tableOf('One row a year of a group.') },
            },
          },
        },
      },
    },
    async ({ headers, query, principal }, reply) => {
      const form = acceptedForm(headers.accept, TABLE_FORMS)
      const answer = await trendAnswer(databases, principal, query)
      reply.itemCount = answer.items.length
      return sendTable(reply, form, answer, () => trendCsv(answer))
    },
  )

  app.get(
    '/v1/statistics/tests',
    {
      config: READERS,
      schema: {
        operationId: 'statistics.listTests',
        tags: ['Statistics'],
        summary: 'List the tests behind a figure',
        description: 'In the order in which they were stored; each says whether it counts, and if not why.',
        querystring: Type.Object({ ...PageQuery, ...FilterQuery }, { additionalProperties: false }),
        response: { 200: CountedTestPage },
      },
    },
    async (request, reply) => {
      const { principal, query } = request
      const { limit: _limit, cursor: _cursor, ...filter } = query
      return cursors.pageBy(
        BY_PLACE,
        { request, reply, list: { order: 'tests of statistics', filter } },
        ({ after = 0, limit }) =>
          databases.asPrincipal(principal, (tx) =>
            listTests(tx, scopeOf(principal), questionOf(query, 'driver'), { after, limit }),
          ),
        toCounted,
      )
    },
  )

  await app.register(chartRoutes, deps)
  await app.register(testerStatisticsRoutes, deps)
  await app.register(publishedRoutes, deps)
}
