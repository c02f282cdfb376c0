/** `/v1/statistics/charts/{chart}`: the same figures as SVG. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { bandsChart } from './charts/bands.ts'
import { ChartForm } from './charts/form.ts'
import type { Drawing } from './charts/frame.ts'
import { histogramChart } from './charts/histogram.ts'
import { panelTrendChart } from './charts/panel-trend.ts'
import { FilterQuery, GroupBy } from './query.ts'
import { READERS } from './readers.ts'
import { MeasureId } from './schemas.ts'
import { statisticsOf, trendAnswer } from './statistics.ts'

const CHARTS = ['histogram', 'percentile-bands', 'panel-trend'] as const
/** More can't be read side by side. */
const GROUPS_MAX = 6

const ChartQuery = Type.Object(
  {
    ...FilterQuery,
    groupBy: GroupBy,
    measure: MeasureId,
    ...ChartForm,
  },
  { additionalProperties: false },
)

/** The first few groups, and a word on the others. */
function few<T>(items: readonly T[]): { readonly shown: readonly T[]; readonly notes: readonly string[] } {
  const left = items.length - GROUPS_MAX
  return {
    shown: items.slice(0, GROUPS_MAX),
    notes: left > 0 ? [`${GROUPS_MAX} of ${items.length} groups are drawn; filter to see the others.`] : [],
  }
}

const asOfNote = (ledgerSize: number): string => `With all up to entry ${ledgerSize} of the ledger.`

export const chartRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases }) => {
  app.get(
    '/v1/statistics/charts/:chart',
    {
      config: READERS,
      schema: {
        operationId: 'statistics.chart',
        tags: ['Statistics'],
        summary: 'Draw figures as SVG',
        description:
          'A histogram of each group, percentile bands by year, or both trends. Axis, unit, interval and count stand in the ' +
          'chart; colours follow the reader’s system, or the theme asked for.',
        params: Type.Object({ chart: Type.Enum([...CHARTS], { description: 'What is drawn.' }) }),
        querystring: ChartQuery,
        response: {
          200: {
            description: 'The chart.',
            content: { 'image/svg+xml': { schema: Type.String({ maxLength: 2_000_000, description: 'SVG.' }) } },
          },
        },
      },
    },
    async ({ params, query, principal }, reply) => {
      const { svg, items } = await draw(params.chart, query, principal)
      reply.itemCount = items
      return reply.type('image/svg+xml; charset=utf-8').send(svg)
    },
  )

  type Asked = Parameters<typeof statisticsOf>[2] & Drawing
  async function draw(
    chart: (typeof CHARTS)[number],
    asked: Asked,
    principal: Parameters<typeof statisticsOf>[1],
  ): Promise<{ readonly svg: string; readonly items: number }> {
    if (chart === 'panel-trend') {
      const { items, asOf } = await trendAnswer(databases, principal, asked)
      const { shown, notes } = few(items)
      return { svg: panelTrendChart(shown, [...notes, asOfNote(asOf.ledgerSize)], asked), items: items.length }
    }
    const groupBy = chart === 'percentile-bands' ? `${asked.groupBy},year` : asked.groupBy
    const { items, asOf } = await statisticsOf(databases, principal, { ...asked, groupBy })
    const drawable = items.filter(({ histogram }) => histogram.length > 0)
    if (chart === 'percentile-bands') {
      const apart = few([...Map.groupBy(drawable, ({ group: { year: _, ...rest } }) => JSON.stringify(rest)).values()])
      const notes = [...apart.notes, asOfNote(asOf.ledgerSize)]
      return { svg: bandsChart(apart.shown.flat(), asked.measure, notes, asked), items: items.length }
    }
    const { shown, notes } = few(drawable)
    return {
      svg: histogramChart(shown, asked.measure, [...notes, asOfNote(asOf.ledgerSize)], asked),
      items: items.length,
    }
  }
}
