/** `/v1/statistics/publications`: what everybody may know, month by month; and what a firm may know of its peers. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { type Static, Type } from 'typebox'
import type { Deps } from '../../deps.ts'
import { acceptedForm } from '../../http/accept.ts'
import { CSV, sendTable, TABLE_FORMS } from '../../http/csv.ts'
import { Cursors, PageQuery, type Place } from '../../http/cursor.ts'
import { notFound } from '../../http/problem.ts'
import { NOT_A_SAMPLE } from '../charts/words.ts'
import { publishedCsv } from './csv.ts'
import { findMonth, findPeers, listMonths, type MonthRow, readCells } from './queries.ts'
import type { RULES } from './rules.ts'
import {
  countsOf,
  FiguresOf,
  Month,
  PeersOfFirm,
  PublishedMonthPage,
  PublishedStatistics,
  toCellOf,
} from './schemas.ts'

const EVERYBODY = { access: 'public', problems: ['database-unavailable', 'timeout'] } as const
const Params = Type.Object({ month: Month })

const BY_MONTH: Place<MonthRow, string> = { valuesOf: ({ month }) => [month], from: ([month]) => month! }

const toSummary = ({ month, published_at, ledger_size, rules, marks }: MonthRow) => ({
  month,
  publishedAt: published_at.toISOString(),
  ledgerSize: Number(ledger_size),
  cells: countsOf(marks),
  rules: rules as Record<keyof typeof RULES, number>,
})

export const publishedRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now }) => {
  const pool = databases.ledgerReads
  const cursors = new Cursors(config.keyPepper, now)

  app.get(
    '/v1/statistics/publications',
    {
      config: EVERYBODY,
      schema: {
        operationId: 'statistics.listPublications',
        tags: ['Statistics'],
        summary: 'List the months of public statistics',
        description:
          'Statistics over all tests for everybody, decided once at the end of each month and never again; newest first. ' +
          'Each says how many cells are withheld, and by which rules.',
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: PublishedMonthPage },
      },
    },
    async (request, reply) =>
      cursors.pageBy(
        BY_MONTH,
        { request, reply, list: { order: 'publications by month', filter: {} } },
        (asked) => listMonths(pool, asked),
        (row) => ({ ...toSummary(row), links: { cells: `/v1/statistics/publications/${row.month}/cells` } }),
      ),
  )

  app.get(
    '/v1/statistics/publications/:month/cells',
    {
      config: { ...EVERYBODY, problems: [...EVERYBODY.problems, 'not-acceptable', 'not-found'] },
      schema: {
        operationId: 'statistics.readPublication',
        tags: ['Statistics'],
        summary: 'Read the public statistics of a month',
        description:
          'Every cell of a fixed lattice, for everybody. A cell that could tell of a single plant, customer or firm has no ' +
          'value and says why; so has one from which another could be reckoned. Tests that would leave a cell with too few, or ' +
          'change it by too few, wait for more of their kind. As JSON or, by Accept, as CSV.',
        params: Params,
        querystring: Type.Object({ figuresOf: FiguresOf }, { additionalProperties: false }),
        response: {
          200: {
            description: 'The cells of the month.',
            content: {
              'application/json': { schema: PublishedStatistics },
              [CSV]: {
                schema: Type.String({
                  maxLength: 10_000_000,
                  description:
                    'One row a cell, with a column that says why it is withheld. RFC 4180, with a header line.',
                }),
              },
            },
          },
        },
      },
    },
    async ({ headers, params, query }, reply) => {
      const form = acceptedForm(headers.accept, TABLE_FORMS)
      const found = await findMonth(pool, params.month)
      if (found === undefined) throw notFound('published month', params.month)
      const cells = await readCells(pool, params.month, query.figuresOf)
      const answer: PublishedStatistics = {
        ...toSummary(found),
        figuresOf: query.figuresOf,
        notASample: NOT_A_SAMPLE,
        items: cells.map(({ driver, cell, told }) => ({
          of: toCellOf(driver, cell),
          figures: told.figures,
          ...(told.waiting !== undefined && { waiting: told.waiting }),
          ...(told.histogram !== undefined && { histogram: [...told.histogram] }),
        })),
      }
      return sendTable(reply, form, answer, () => publishedCsv(answer))
    },
  )

  app.get(
    '/v1/statistics/publications/:month/peers',
    {
      config: {
        access: {
          roles: ['firm'],
          scope: 'tests:read',
          others: 'A firm sees its own tests beside those of its peers. Public statistics are at …/cells.',
        },
        problems: ['not-found'],
        readLog: { of: 'list' },
      },
      schema: {
        operationId: 'statistics.readPeers',
        tags: ['Statistics'],
        summary: 'Read a firm’s own tests beside its peers',
        description:
          'In each cell of the month that tests of the firm belong to: its own figures, and those of all others by the rules ' +
          'for everybody, with its own tests taken out before plants and customers are counted.',
        params: Params,
        response: { 200: PeersOfFirm },
      },
    },
    async ({ params, principal }, reply): Promise<Static<typeof PeersOfFirm>> => {
      const found = await databases.asPrincipal(principal, (tx) => findPeers(tx, principal.firmId!, params.month))
      if (found === undefined) throw notFound('month with tests of the firm', params.month)
      reply.itemCount = found.length
      return {
        month: params.month,
        notASample: NOT_A_SAMPLE,
        items: found.map(({ family, driver, cell, own, peers }) => ({
          figuresOf: family,
          of: toCellOf(driver, cell),
          own,
          peers,
        })),
      }
    },
  )
}
