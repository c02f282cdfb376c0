/** `/v1/plants/{id}/history`: what was found at one plant over the years, over the firms that tested it. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { acceptedForm } from '../http/accept.ts'
import { CSV, sendTable, TABLE_FORMS, toCsv } from '../http/csv.ts'
import { Cursors, PageQuery, type Place } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { notFound } from '../http/problem.ts'
import { type Day, type HistoryRow, isPlantVisible, listHistory } from './queries.ts'
import { PlantHistoryItem, PlantHistoryPage } from './schemas.ts'

const COLUMNS = Object.keys(PlantHistoryItem.properties) as (keyof PlantHistoryItem)[]

const figure = <K extends string>(name: K, value: number | null): { [_ in K]?: number } =>
  value === null ? {} : ({ [name]: value } as { [_ in K]: number })

function toItem(row: HistoryRow): PlantHistoryItem {
  const { efficiency, efficiency_u } = row
  const known = efficiency !== null && efficiency_u !== null
  return {
    source: row.own ? 'own' : 'shared',
    testedOn: row.tested_on,
    ...(row.own && { testId: toWire('test', row.id) }),
    edition: row.edition,
    soundness: row.soundness as PlantHistoryItem['soundness'],
    ...figure('overallPlantEfficiency', efficiency),
    ...(known && {
      overallPlantEfficiencyLow: efficiency - efficiency_u,
      overallPlantEfficiencyHigh: efficiency + efficiency_u,
    }),
    ...figure('specificCapacityM2S', row.specific_capacity_m2_s),
    ...figure('liftM', row.lift_m),
    ...figure('flowM3S', row.flow_m3_s),
    ...figure('headM', row.head_m),
    ...figure('inputPowerW', row.input_power_w),
    ...figure('energyPerVolumeJM3', row.energy_per_volume_j_m3),
  }
}

export const plantHistoryRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now }) => {
  const cursors = new Cursors(config.keyPepper, now)

  app.get(
    '/v1/plants/:plantId/history',
    {
      config: {
        access: { roles: ['firm', 'program', 'auditor', 'keeper'], scope: 'tests:read' },
        readLog: { of: 'plant' },
        problems: ['not-acceptable'],
      },
      schema: {
        operationId: 'plants.history',
        tags: ['Plants'],
        summary: 'Read the history of a plant',
        description:
          'The tests of one plant in their latest version, oldest first, without withdrawn ones. A firm sees its own, and of other firms’ tests the figures that the ' +
          'grower lets it see; without consent nothing of them, not even how many there are. Compare figures of one ' +
          'edition. As JSON or, by Accept, as CSV (RFC 4180) with the same members as columns.',
        params: Type.Object({ plantId: Id('plant', 'Id of the plant.') }),
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: {
          200: {
            description: 'One page of the history.',
            content: {
              'application/json': { schema: PlantHistoryPage },
              [CSV]: {
                schema: Type.String({
                  maxLength: 200_000,
                  description: 'A header line, then one line a test; the next page is in the Link field.',
                }),
              },
            },
          },
        },
      },
    },
    async (request, reply) => {
      const { params, principal } = request
      const form = acceptedForm(request.headers.accept, TABLE_FORMS)
      const plantId = uuidOf('plant', params.plantId)
      const list = { order: 'history by day', filter: { plant: plantId } }
      const page = await cursors.pageBy(
        BY_DAY,
        { request, reply, list },
        (part) =>
          databases.asPrincipal(principal, async (tx) => {
            if (!(await isPlantVisible(tx, plantId))) throw notFound('plant', params.plantId)
            const [shares, decides] = [principal.role === 'firm', principal.role === 'program']
            return listHistory(tx, plantId, { ...part, shares, decides })
          }),
        toItem,
      )
      return sendTable(reply, form, page, () => toCsv(COLUMNS, page.items))
    },
  )
}

const BY_DAY: Place<Pick<HistoryRow, 'tested_on' | 'id'>, Day> = {
  valuesOf: ({ tested_on, id }) => [tested_on, id],
  from: ([testedOn, id]) => ({ testedOn: testedOn!, id: id! }),
}
