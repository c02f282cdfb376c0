/** `/v1/access-requests`: a firm asks for access to a plant that another registered, with the grower's consent. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { refuseFutureWord } from '../http/consent.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { notFound, Problem, referenceNotFound } from '../http/problem.ts'
import {
  type AccessRequestRow,
  findAccessRequest,
  findOpenRequest,
  insertAccessRequest,
  insertDecision,
  listAccessRequests,
} from './access-queries.ts'
import { AccessDecision, AccessRequest, AccessRequestPage, AccessRequestToMake } from './access-schemas.ts'
import type { Author } from './changes.ts'
import { giveAccess } from './give-access.ts'
import { findPlantByCode } from './plant-queries.ts'

const toAccessRequest = (row: AccessRequestRow): AccessRequest => ({
  id: toWire('access request', row.id),
  firmId: toWire('firm', row.firm_id),
  plantCode: row.plant_code,
  consent: { givenAt: row.consented_at.toISOString(), by: 'grower', evidence: row.evidence },
  requestedAt: row.requested_at.toISOString(),
  state: (row.outcome ?? 'open') as AccessRequest['state'],
  ...(row.reason != null && { reason: row.reason as NonNullable<AccessRequest['reason']> }),
  ...(row.decided_at != null && { decidedAt: row.decided_at.toISOString() }),
})

const Params = Type.Object({ accessRequestId: Id('access request', 'Id of the request.') })

export const accessRequestRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now, newId }) => {
  const cursors = new Cursors(config.keyPepper, now)

  app.post(
    '/v1/access-requests',
    {
      config: { access: { roles: ['firm'], scope: 'plants:write' }, problems: ['conflict', 'reference-not-found'] },
      schema: {
        operationId: 'accessRequests.create',
        tags: ['Plants'],
        summary: 'Ask for access to a plant',
        description:
          'A plant is shared by all firms that test it. A firm that finds one registered by another asks by the code ' +
          'painted at it, with the grower’s consent; an administrator grants or declines. Access shows the plant and ' +
          'its equipment, and lets the firm submit tests; what other firms measured takes a consent of its own.',
        body: AccessRequestToMake,
        response: { 201: AccessRequest },
      },
    },
    async ({ body, principal }, reply) => {
      refuseFutureWord(body.consent.givenAt, '/consent/givenAt', now())
      const row = {
        id: newId(),
        firm_id: principal.firmId!,
        plant_code: body.plantCode,
        consented_at: new Date(body.consent.givenAt),
        evidence: body.consent.evidence,
        key_id: principal.keyId,
        requested_at: now(),
      }
      await refusingUnknownCode(body.plantCode, () =>
        databases.asPrincipal(principal, async (tx) => {
          if ((await findPlantByCode(tx, row.firm_id, row.plant_code)) !== undefined) {
            throw new Problem('conflict', `This firm has access to the plant ${row.plant_code} already.`)
          }
          const open = await findOpenRequest(tx, row.firm_id, row.plant_code)
          if (open !== undefined) {
            throw new Problem('conflict', `This firm has asked before: ${toWire('access request', open.id)} is open.`)
          }
          await insertAccessRequest(tx, row)
        }),
      )
      const request = toAccessRequest({ ...row, outcome: null, reason: null, decided_at: null })
      return reply.code(201).header('location', `/v1/access-requests/${request.id}`).send(request)
    },
  )

  app.get(
    '/v1/access-requests',
    {
      config: { access: { roles: ['firm', 'admin', 'auditor'], scope: 'plants:read' } },
      schema: {
        operationId: 'accessRequests.list',
        tags: ['Plants'],
        summary: 'List requests for access to plants',
        description: 'A firm’s own requests; all of them for an administrator. In the order in which they were made.',
        querystring: Type.Object(
          {
            state: Type.Optional(
              Type.Enum(['open', 'granted', 'declined'], { description: 'Only requests in this state.' }),
            ),
            ...PageQuery,
          },
          { additionalProperties: false },
        ),
        response: { 200: AccessRequestPage },
      },
    },
    async (request, reply) => {
      const { principal, query } = request
      return cursors.page(
        { request, reply, list: { order: 'access requests by id', filter: { state: query.state } } },
        (part) => databases.asPrincipal(principal, (tx) => listAccessRequests(tx, part, query.state)),
        toAccessRequest,
      )
    },
  )

  app.get(
    '/v1/access-requests/:accessRequestId',
    {
      config: { access: { roles: ['firm', 'admin', 'auditor'], scope: 'plants:read' } },
      schema: {
        operationId: 'accessRequests.get',
        tags: ['Plants'],
        summary: 'Read a request for access to a plant',
        description: 'One request by its id, with what became of it.',
        params: Params,
        response: { 200: AccessRequest },
      },
    },
    async ({ params, principal }) => {
      const id = uuidOf('access request', params.accessRequestId)
      const row = await databases.asPrincipal(principal, (tx) => findAccessRequest(tx, id))
      if (row === undefined) throw notFound('access request', params.accessRequestId)
      return toAccessRequest(row)
    },
  )

  app.post(
    '/v1/access-requests/:accessRequestId/decision',
    {
      config: { access: { roles: ['admin'], scope: 'plants:write' }, problems: ['conflict'] },
      schema: {
        operationId: 'accessRequests.decide',
        tags: ['Plants'],
        summary: 'Grant or decline access to a plant',
        description: 'Granted, the firm has access at once. A decision is final; a declined firm may ask again.',
        params: Params,
        body: AccessDecision,
        response: { 201: AccessRequest },
      },
    },
    async ({ params, body, principal }, reply) => {
      const { outcome, reason = null } = body
      if ((outcome === 'declined') !== (reason !== null)) throw reasonOnlyToDecline(outcome)
      const id = uuidOf('access request', params.accessRequestId)
      const author: Author = { principal, at: now(), newId }
      const decided = await databases.asPrincipal(principal, async (tx) => {
        const request = await findAccessRequest(tx, id)
        if (request === undefined) throw notFound('access request', params.accessRequestId)
        const { firm_id, plant_code } = request
        const decision = { request_id: id, firm_id, outcome, reason, key_id: principal.keyId, decided_at: author.at }
        if (!(await insertDecision(tx, decision))) {
          throw new Problem('conflict', 'This request was decided before; the decision stands.')
        }
        if (outcome === 'granted') {
          // The foreign key of the request promises the plant, and an administrator sees all.
          const plant = await findPlantByCode(tx, undefined, plant_code)
          await giveAccess(tx, author, { firmId: firm_id, plantId: plant!.id })
        }
        return { ...request, ...decision }
      })
      return reply
        .code(201)
        .header('location', `/v1/access-requests/${params.accessRequestId}`)
        .send(toAccessRequest({ ...decided, id }))
    },
  )
}

/** Runs `work`; where the foreign key finds no plant of that code, throws `reference-not-found` instead. */
async function refusingUnknownCode(code: string, work: () => Promise<void>): Promise<void> {
  try {
    await work()
  } catch (error) {
    const { code: state, constraint } = error as { code?: unknown; constraint?: unknown }
    if (state !== '23503' || constraint !== 'access_request_plant_code_fkey') throw error
    throw referenceNotFound([{ pointer: '/plantCode', noun: 'plant', code }])
  }
}

function reasonOnlyToDecline(outcome: string): Problem {
  const message = outcome === 'declined' ? 'A reason is required to decline.' : 'A reason is given only to decline.'
  return new Problem('invalid-request', `${message} Nothing was stored.`, {
    errors: [{ pointer: '/reason', code: outcome === 'declined' ? 'missing-member' : 'wrong-shape', message }],
  })
}
