/** `…/meters` and `/v1/known-plants`: utility meters of plants, and plants found by code or meter number. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery, type Place } from '../http/cursor.ts'
import { Id, uuidOf } from '../http/ids.ts'
import { notFound, Problem } from '../http/problem.ts'
import { type Author, recordChange } from './changes.ts'
import { refusingDuplicates } from './conflicts.ts'
import { insertMeter, isPlantKnown, listMeters, type MeterRow } from './meter-queries.ts'
import { Meter, MeterPage, MeterToRecord, PlantLookup } from './meter-schemas.ts'
import { findPlant, listPlants } from './plant-queries.ts'
import { toPlant } from './plants.ts'
import { Code, Day } from './schemas.ts'
import { refuseBackwardSpan, today } from './spans.ts'

const Params = Type.Object({ plantId: Id('plant', 'Id of the plant.') })
const PLANTS_MAX = 50

const toMeter = ({ number, effective_from, effective_until }: MeterRow): Meter => ({
  number,
  from: effective_from,
  ...(effective_until !== null && { until: effective_until }),
})

const ASK = {
  code:
    'Ask the grower for consent, then an administrator for access: POST /v1/access-requests with this code and the ' +
    'consent.',
  meterNumber:
    'Read the code painted at the plant, ask the grower for consent, then an administrator for access: POST ' +
    '/v1/access-requests with the code and the consent.',
}

export const meterRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now, newId }) => {
  const cursors = new Cursors(config.keyPepper, now)

  app.post(
    '/v1/plants/:plantId/meters',
    {
      config: { access: { roles: ['firm'], scope: 'plants:write' }, problems: ['conflict'] },
      schema: {
        operationId: 'plants.addMeter',
        tags: ['Plants'],
        summary: 'Record a utility meter of a plant',
        description:
          'The number on the meter, from a day on; one plant may have several, and one meter may serve several plants. ' +
          'The same number and first day once more corrects what was recorded: its last day, or that it was a mistake.',
        params: Params,
        body: MeterToRecord,
        response: { 201: Meter },
      },
    },
    async ({ params, body, principal }, reply) => {
      const plantId = uuidOf('plant', params.plantId)
      const { number, from, until, mistaken = false } = body
      if (until !== undefined) refuseBackwardSpan('/until', from, until)
      const author: Author = { principal, at: now(), newId }
      const row = { number, effective_from: from, effective_until: until ?? null }
      await refusingDuplicates(
        { plant_meter_pkey: 'The same meter was recorded at the same moment; send it again.' },
        () =>
          databases.asPrincipal(principal, async (tx) => {
            if ((await findPlant(tx, principal.firmId, plantId)) === undefined) throw notFound('plant', params.plantId)
            const by = { firmId: principal.firmId!, keyId: principal.keyId, at: author.at }
            await insertMeter(tx, { plantId, ...row, withdrawn: mistaken, ...by })
            const word = mistaken
              ? ({ member: 'meter', change: 'removed', from: { number, from } } as const)
              : ({ member: 'meter', change: 'set', to: toMeter(row) } as const)
            await recordChange(tx, author, { noun: 'plant', subject: plantId, deed: 'meter-recorded', changes: [word] })
          }),
      )
      return reply.code(201).header('location', `/v1/plants/${params.plantId}/meters`).send(toMeter(row))
    },
  )

  app.get(
    '/v1/plants/:plantId/meters',
    {
      config: { access: { roles: ['firm', 'auditor'], scope: 'plants:read' } },
      schema: {
        operationId: 'plants.listMeters',
        tags: ['Plants'],
        summary: 'List the utility meters of a plant',
        description: 'By the last word on each, in order of their first day.',
        params: Params,
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: MeterPage },
      },
    },
    async (request, reply) => {
      const { params, principal } = request
      const id = uuidOf('plant', params.plantId)
      const list = { order: 'meters by first day', filter: { plant: id } }
      return cursors.pageBy(
        BY_FIRST_DAY,
        { request, reply, list },
        ({ after, limit }) =>
          databases.asPrincipal(principal, async (tx) => {
            if ((await findPlant(tx, principal.firmId, id)) === undefined) throw notFound('plant', params.plantId)
            return listMeters(tx, id, after, limit)
          }),
        toMeter,
      )
    },
  )

  app.get(
    '/v1/known-plants',
    {
      config: { access: { roles: ['firm'], scope: 'plants:read' } },
      schema: {
        operationId: 'plants.lookUp',
        tags: ['Plants'],
        summary: 'Find out whether a plant is registered',
        description:
          'By the code painted at it or the number on its meter, one of the two. A plant this firm has access to is ' +
          'shown. Of any other it is told that there is one and how to ask for access: not where it is, nor whose.',
        querystring: Type.Object(
          {
            code: Type.Optional(Code('Code painted at the plant.')),
            meterNumber: Type.Optional(Code('Number on the utility meter.')),
            on: Type.Optional(Day('Day on which the meter was in place; today if absent.')),
          },
          { additionalProperties: false },
        ),
        response: { 200: PlantLookup },
      },
    },
    async ({ principal, query }): Promise<PlantLookup> => {
      const { code, meterNumber } = query
      if ((code === undefined) === (meterNumber === undefined)) throw oneOfTheTwo()
      const asked = { code, meterNumber, on: query.on ?? today(now()) }
      return databases.asPrincipal(principal, async (tx) => {
        const own = await listPlants(tx, principal.firmId, { after: undefined, limit: PLANTS_MAX }, asked)
        if (own.length > 0) return { outcome: 'accessible', plants: own.map(toPlant) }
        if (!(await isPlantKnown(tx, asked))) return { outcome: 'unknown', plants: [] }
        return { outcome: 'exists', plants: [], ask: code === undefined ? ASK.meterNumber : ASK.code }
      })
    },
  )
}

const oneOfTheTwo = (): Problem =>
  new Problem('invalid-request', '1 place needs attention: code or meterNumber.', {
    errors: [{ parameter: 'code', code: 'missing-member', message: 'Send code or meterNumber, one of the two.' }],
  })

const BY_FIRST_DAY: Place<
  { readonly effective_from: string; readonly number: string },
  { readonly from: string; readonly number: string }
> = {
  valuesOf: (meter) => [meter.effective_from, meter.number],
  from: ([from, number]) => ({ from: from!, number: number! }),
}
