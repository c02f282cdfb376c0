/** `/v1/plants`: pumping plants with their equipment as dated revisions, and which firms have access. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { Equipment } from '@liftledger/calc'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery, type Place } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { tagged } from '../http/if-match.ts'
import { notFound, referenceNotFound } from '../http/problem.ts'
import { type Author, differences, recordChange } from './changes.ts'
import { refusingDuplicates } from './conflicts.ts'
import { giveAccess } from './give-access.ts'
import { findPlant, insertEquipment, listEquipment, listPlants, type PlantRow } from './plant-queries.ts'
import { findFirm } from './queries.ts'
import { registerPlant } from './register-plant.ts'
import {
  Code,
  Day,
  EquipmentPage,
  Equipment as EquipmentSchema,
  EquipmentToRecord,
  Plant,
  PlantAccess,
  PlantAccessToGrant,
  PlantPage,
  PlantToRegister,
} from './schemas.ts'
import { today } from './spans.ts'

export function toPlant(row: PlantRow): Plant {
  return {
    id: toWire('plant', row.id),
    code: row.code,
    kind: row.kind as Plant['kind'],
    ...(row.region !== null && { region: row.region }),
    ...(row.reference !== null && { reference: row.reference }),
    createdAt: row.created_at.toISOString(),
  }
}

const Params = Type.Object({ plantId: Id('plant', 'Id of the plant.') })

export const plantRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, deps) => {
  const { databases, now, newId } = deps
  const cursors = new Cursors(deps.config.keyPepper, now)

  app.post(
    '/v1/plants',
    {
      config: { access: { roles: ['firm'], scope: 'plants:write' }, problems: ['conflict'] },
      schema: {
        operationId: 'plants.create',
        tags: ['Plants'],
        summary: 'Register a plant',
        description:
          'Registers a pumping plant under the code painted on it. A plant that another firm registered is shared: ' +
          'ask for access to it with the grower’s consent.',
        body: PlantToRegister,
        response: { 201: Plant },
      },
    },
    async (request, reply) => {
      const plant = toPlant(await registerPlant(deps, request.principal, request.body))
      reply.code(201).header('location', `/v1/plants/${plant.id}`)
      return reply.send(tagged(reply, plant))
    },
  )

  app.get(
    '/v1/plants',
    {
      config: { access: { roles: ['firm', 'admin'], scope: 'plants:read' } },
      schema: {
        operationId: 'plants.list',
        tags: ['Plants'],
        summary: 'List plants, or find them by code or meter',
        description:
          'The plants a firm has access to; all plants for an administrator. By meter number: those on which that meter ' +
          'is in place today, or was on the day `on`.',
        querystring: Type.Object(
          {
            code: Type.Optional(Code('Only the plant with this code.')),
            meterNumber: Type.Optional(Code('Only plants with this number on a utility meter.')),
            on: Type.Optional(Day('Day on which the meter was in place; today if absent.')),
            ...PageQuery,
          },
          { additionalProperties: false },
        ),
        response: { 200: PlantPage },
      },
    },
    async (request, reply) => {
      const { principal, query } = request
      const { code, meterNumber, on } = query
      const filter = { code, meterNumber, on: on ?? today(now()) }
      return cursors.page(
        { request, reply, list: { order: 'plants by id', filter: { code, meterNumber, on } } },
        (part) => databases.asPrincipal(principal, (tx) => listPlants(tx, principal.firmId, part, filter)),
        toPlant,
      )
    },
  )

  app.get(
    '/v1/plants/:plantId',
    {
      config: { access: { roles: ['firm', 'admin', 'auditor'], scope: 'plants:read' } },
      schema: {
        operationId: 'plants.get',
        tags: ['Plants'],
        summary: 'Read a plant',
        description: 'One plant by its id, with an ETag to change it by.',
        params: Params,
        response: { 200: Plant },
      },
    },
    async ({ params, principal }) => {
      const id = uuidOf('plant', params.plantId)
      const row = await databases.asPrincipal(principal, (tx) => findPlant(tx, principal.firmId, id))
      if (row === undefined) throw notFound('plant', params.plantId)
      return toPlant(row)
    },
  )

  app.post(
    '/v1/plants/:plantId/access',
    {
      config: { access: { roles: ['admin'], scope: 'plants:write' }, problems: ['reference-not-found'] },
      schema: {
        operationId: 'plants.grantAccess',
        tags: ['Plants'],
        summary: 'Give a firm access to a plant',
        description: 'The firm may then read the plant and its equipment, record equipment and submit tests of it.',
        params: Params,
        body: PlantAccessToGrant,
        response: { 201: PlantAccess },
      },
    },
    async ({ params, body, principal }, reply) => {
      const plantId = uuidOf('plant', params.plantId)
      const firmId = uuidOf('firm', body.firmId)
      const access = await databases.asPrincipal(principal, async (tx) => {
        if ((await findPlant(tx, undefined, plantId)) === undefined) throw notFound('plant', params.plantId)
        if ((await findFirm(tx, firmId)) === undefined) {
          throw referenceNotFound([{ pointer: '/firmId', noun: 'firm', code: body.firmId }])
        }
        return giveAccess(tx, { principal, at: now(), newId }, { firmId, plantId })
      })
      return reply
        .code(201)
        .header('location', `/v1/plants/${params.plantId}`)
        .send({ plantId: params.plantId, firmId: body.firmId, createdAt: access.created_at.toISOString() })
    },
  )

  app.post(
    '/v1/plants/:plantId/equipment',
    {
      config: { access: { roles: ['firm'], scope: 'plants:write' }, problems: ['conflict'] },
      schema: {
        operationId: 'plants.addEquipment',
        tags: ['Plants'],
        summary: 'Record the equipment of a plant',
        description:
          'Adds a revision that holds from a day on; nothing is overwritten. Of two revisions from the same day the ' +
          'later recorded one holds.',
        params: Params,
        body: EquipmentToRecord,
        response: { 201: EquipmentSchema },
      },
    },
    async ({ params, body, principal }, reply) => {
      const plantId = uuidOf('plant', params.plantId)
      const { effectiveFrom, ...facts } = body
      const revision = await refusingDuplicates(
        {
          plant_equipment_pkey:
            'Another revision was recorded at the same moment; read the list and send this one again.',
        },
        () =>
          databases.asPrincipal(principal, async (tx) => {
            if ((await findPlant(tx, principal.firmId, plantId)) === undefined) throw notFound('plant', params.plantId)
            const author: Author = { principal, at: now(), newId }
            const by = { firmId: principal.firmId!, keyId: principal.keyId, at: author.at }
            const revision = await insertEquipment(tx, { plantId, effectiveFrom, facts, ...by })
            const changes = differences({}, { equipment: { revision, ...body } })
            await recordChange(tx, author, { noun: 'plant', subject: plantId, deed: 'equipment-recorded', changes })
            return revision
          }),
      )
      return reply
        .code(201)
        .header('location', `/v1/plants/${params.plantId}/equipment`)
        .send({ revision, ...body })
    },
  )

  app.get(
    '/v1/plants/:plantId/equipment',
    {
      config: { access: { roles: ['firm', 'auditor'], scope: 'plants:read' } },
      schema: {
        operationId: 'plants.listEquipment',
        tags: ['Plants'],
        summary: 'List the equipment of a plant',
        description: 'Every revision, in the order in which they were recorded.',
        params: Params,
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: EquipmentPage },
      },
    },
    async (request, reply) => {
      const { params, principal } = request
      const id = uuidOf('plant', params.plantId)
      const list = { order: 'equipment by revision', filter: { plant: id } }
      return cursors.pageBy(
        BY_REVISION,
        { request, reply, list },
        ({ after = 0, limit }) =>
          databases.asPrincipal(principal, async (tx) => {
            if ((await findPlant(tx, principal.firmId, id)) === undefined) throw notFound('plant', params.plantId)
            return listEquipment(tx, id, after, limit)
          }),
        toEquipment,
      )
    },
  )
}

const BY_REVISION: Place<{ readonly revision: number }, number> = {
  valuesOf: ({ revision }) => [String(revision)],
  from: ([revision]) => Number(revision),
}

const toEquipment = ({
  revision,
  effective_from,
  facts,
}: {
  revision: number
  effective_from: string
  facts: unknown
}) => ({ revision, effectiveFrom: effective_from, ...(facts as object) }) as Equipment
