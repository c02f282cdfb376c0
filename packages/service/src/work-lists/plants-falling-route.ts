/** `/v1/work-lists/plants-falling`. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { acceptedForm } from '../http/accept.ts'
import { sendTable, TABLE_FORMS, toCsv } from '../http/csv.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { toWire } from '../http/ids.ts'
import { pageOf } from './pages.ts'
import { type FallingPlant, fallingPlants } from './plants-falling.ts'
import { historyOf, inBothForms, ofPlant, READERS, whose } from './reading.ts'
import { Code, PlantFalling, PlantsFalling } from './schemas.ts'

const TEST_IDS_MAX = 100

function toItem({ plant, line, tests, equipmentSince, velocityHead }: FallingPlant): PlantFalling {
  const last = tests.at(-1)!
  return {
    ...ofPlant(plant),
    slopePerYear: line.slope,
    slopeLow: line.low,
    slopeHigh: line.high,
    slopeUncertainty: line.u,
    uncertaintyFrom: line.uncertaintyFrom,
    birgeRatio: line.birgeRatio,
    tests: tests.length,
    firstOn: tests[0]!.tested_on,
    lastOn: last.tested_on,
    lastEfficiency: last.efficiency,
    ...(equipmentSince !== undefined && { equipmentSince }),
    velocityHead,
    testIds: tests.slice(-TEST_IDS_MAX).map(({ id }) => toWire('test', id)),
    links: historyOf(plant),
  }
}

const { links: _, ...COLUMNS } = PlantFalling.properties
const columns = Object.keys(COLUMNS) as (keyof Omit<PlantFalling, 'links'>)[]

export const plantsFallingRoute: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now }) => {
  const cursors = new Cursors(config.keyPepper, now)

  app.get(
    '/v1/work-lists/plants-falling',
    {
      config: READERS,
      schema: {
        operationId: 'workLists.plantsFalling',
        tags: ['Work lists'],
        summary: 'List the plants that lose efficiency',
        description:
          'Through the sound tests of each plant since the last change of its equipment on record, three at least over a year ' +
          'at least, a line weighted by 1/u² is laid; the plant is listed where the 95 % interval of the change a year lies ' +
          'below nothing. The uncertainty is that of the tests; where they scatter more, it is enlarged by the Birge ratio ' +
          'and Student’s t has the degrees of freedom of the scatter. Only tests of one head setting are compared. A list ' +
          'of many plants holds some by chance: how many at most is told. It says that a plant should be looked at, not ' +
          'why it falls: a falling water level alone does it too. As JSON or, by Accept, as CSV.',
        querystring: Type.Object(
          { ...PageQuery, region: Type.Optional(Code('Plants of one region.')) },
          { additionalProperties: false },
        ),
        response: inBothForms('One page of the list.', PlantsFalling),
      },
    },
    async (request, reply) => {
      const { headers, query, principal } = request
      const form = acceptedForm(headers.accept, TABLE_FORMS)
      const { region } = query
      const { plants, lookedAt } = await databases.asPrincipal(principal, (tx) => fallingPlants(tx, principal, region))
      const asked = { request, reply, order: 'plants falling', filter: { region } }
      const page = await pageOf(cursors, asked, plants, toItem)
      const answer: PlantsFalling = { of: whose(principal.role), plantsLookedAt: lookedAt, ...page }
      return sendTable(reply, form, answer, () =>
        toCsv(
          columns,
          page.items.map((item) => ({ ...item, testIds: item.testIds.join(' ') })),
        ),
      )
    },
  )
}
