/** `…/checks`: field checks of an instrument against a reference, judged by its stated accuracy. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { Selectable } from 'kysely'
import { Type } from 'typebox'
import type { InstrumentCheck as CheckRow } from '../db/schema.ts'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { notFound } from '../http/problem.ts'
import { differences, recordChange } from './changes.ts'
import { findInstrument, findRevisionOn, insertCheck, listChecks } from './instrument-queries.ts'
import { judgeCheck } from './judge-check.ts'
import { CheckToRecord, InstrumentCheck, InstrumentCheckPage } from './schemas.ts'

const toCheck = (row: Selectable<CheckRow>): InstrumentCheck => ({
  id: toWire('check', row.id),
  checkedOn: row.checked_on,
  referenceValue: row.reference_value,
  shownValue: row.shown_value,
  unit: row.unit,
  difference: row.difference,
  ...(row.allowed !== null && { allowed: row.allowed }),
  ...(row.judged_by !== null && { revision: row.judged_by }),
  outcome: row.outcome as InstrumentCheck['outcome'],
  recordedAt: row.recorded_at.toISOString(),
})

const Params = Type.Object({ instrumentId: Id('instrument', 'Id of the instrument.') })

export const instrumentCheckRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, deps) => {
  const { databases, now, newId } = deps
  const cursors = new Cursors(deps.config.keyPepper, now)

  app.post(
    '/v1/instruments/:instrumentId/checks',
    {
      config: { access: { roles: ['firm'], scope: 'instruments:write' } },
      schema: {
        operationId: 'instruments.addCheck',
        tags: ['Instruments'],
        summary: 'Record a field check of an instrument',
        description:
          'The instrument and a reference read at the same time, in one unit. The difference is judged by the accuracy ' +
          'that was stated for that day. A check takes the place of no certificate.',
        params: Params,
        body: CheckToRecord,
        response: { 201: InstrumentCheck },
      },
    },
    async ({ params, body, principal }, reply) => {
      const instrumentId = uuidOf('instrument', params.instrumentId)
      const at = now()
      const row = await databases.asPrincipal(principal, async (tx) => {
        if ((await findInstrument(tx, instrumentId)) === undefined) throw notFound('instrument', params.instrumentId)
        const revision = await findRevisionOn(tx, instrumentId, body.checkedOn)
        const judged = judgeCheck(body, (revision?.facts ?? {}) as Parameters<typeof judgeCheck>[1])
        const check = {
          id: newId(),
          firm_id: principal.firmId!,
          instrument_id: instrumentId,
          checked_on: body.checkedOn,
          reference_value: body.referenceValue,
          shown_value: body.shownValue,
          unit: body.unit,
          difference: judged.difference,
          allowed: judged.allowed ?? null,
          judged_by: judged.allowed === undefined ? null : revision!.revision,
          outcome: judged.outcome,
          key_id: principal.keyId,
          recorded_at: at,
        }
        await insertCheck(tx, check)
        const changes = differences({}, { check: { ...body, ...judged } })
        const change = { noun: 'instrument', subject: instrumentId, deed: 'check-recorded', changes } as const
        await recordChange(tx, { principal, at, newId }, { ...change, firmId: check.firm_id })
        return check
      })
      return reply.code(201).header('location', `/v1/instruments/${params.instrumentId}/checks`).send(toCheck(row))
    },
  )

  app.get(
    '/v1/instruments/:instrumentId/checks',
    {
      config: { access: { roles: ['firm', 'auditor'], scope: 'instruments:read' } },
      schema: {
        operationId: 'instruments.listChecks',
        tags: ['Instruments'],
        summary: 'List the field checks of an instrument',
        description: 'In the order in which they were recorded, each with its outcome as it was judged then.',
        params: Params,
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: InstrumentCheckPage },
      },
    },
    async (request, reply) => {
      const { params, principal } = request
      const id = uuidOf('instrument', params.instrumentId)
      return cursors.page(
        { request, reply, list: { order: 'checks by id', filter: { instrument: id } } },
        (part) =>
          databases.asPrincipal(principal, async (tx) => {
            if ((await findInstrument(tx, id)) === undefined) throw notFound('instrument', params.instrumentId)
            return listChecks(tx, id, part)
          }),
        toCheck,
      )
    },
  )
}
