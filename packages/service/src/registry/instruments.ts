/** `/v1/instruments`: a firm's instruments, with accuracy and certificate as dated revisions. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { tagged } from '../http/if-match.ts'
import { notFound } from '../http/problem.ts'
import { type Author, differences, recordChange } from './changes.ts'
import { refusingDuplicates } from './conflicts.ts'
import {
  findInstrument,
  type InstrumentRow,
  insertInstrument,
  insertInstrumentRevision,
  listInstruments,
} from './instrument-queries.ts'
import { Code, Instrument, InstrumentFactsToRecord, InstrumentPage, InstrumentToRegister } from './schemas.ts'
import { refuseBackwardSpans } from './spans.ts'

export function toInstrument(row: InstrumentRow): Instrument {
  return {
    id: toWire('instrument', row.id),
    code: row.code,
    kind: row.kind as Instrument['kind'],
    revision: row.revision,
    effectiveFrom: row.effective_from,
    ...(row.facts as object),
    createdAt: row.created_at.toISOString(),
  }
}

const Params = Type.Object({ instrumentId: Id('instrument', 'Id of the instrument.') })

export const instrumentRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now, newId }) => {
  const cursors = new Cursors(config.keyPepper, now)

  app.post(
    '/v1/instruments',
    {
      config: { access: { roles: ['firm'], scope: 'instruments:write' }, problems: ['conflict'] },
      schema: {
        operationId: 'instruments.create',
        tags: ['Instruments'],
        summary: 'Register an instrument',
        description:
          'An instrument is known by code. What is not known of it is left out; the evaluation then takes defaults.',
        body: InstrumentToRegister,
        response: { 201: Instrument },
      },
    },
    async ({ body, principal }, reply) => {
      const { code, kind, effectiveFrom, ...facts } = body
      refuseBackwardSpans({ '/certificate': facts.certificate })
      const row = { id: newId(), firm_id: principal.firmId!, code, kind, created_at: now() }
      const by = { firmId: row.firm_id, instrumentId: row.id, keyId: principal.keyId, at: row.created_at }
      await refusingDuplicates(
        { instrument_firm_id_code_key: `This firm has an instrument with the code ${code} already.` },
        () =>
          databases.asPrincipal(principal, async (tx) => {
            await insertInstrument(tx, row)
            await insertInstrumentRevision(tx, { ...by, effectiveFrom, facts })
            const author: Author = { principal, at: by.at, newId }
            const changes = differences({}, body)
            const { firmId } = by
            await recordChange(tx, author, { noun: 'instrument', subject: row.id, deed: 'registered', changes, firmId })
          }),
      )
      const instrument = toInstrument({ ...row, revision: 1, effective_from: effectiveFrom, facts })
      reply.code(201).header('location', `/v1/instruments/${instrument.id}`)
      return reply.send(tagged(reply, instrument))
    },
  )

  app.get(
    '/v1/instruments',
    {
      config: { access: { roles: ['firm'], scope: 'instruments:read' } },
      schema: {
        operationId: 'instruments.list',
        tags: ['Instruments'],
        summary: 'List instruments, or find one by code',
        description: 'The instruments of the firm, each with its newest revision.',
        querystring: Type.Object(
          { code: Type.Optional(Code('Only the instrument with this code.')), ...PageQuery },
          { additionalProperties: false },
        ),
        response: { 200: InstrumentPage },
      },
    },
    async (request, reply) => {
      const { code } = request.query
      return cursors.page(
        { request, reply, list: { order: 'instruments by id', filter: { code } } },
        (part) => databases.asPrincipal(request.principal, (tx) => listInstruments(tx, part, code)),
        toInstrument,
      )
    },
  )

  app.get(
    '/v1/instruments/:instrumentId',
    {
      config: { access: { roles: ['firm', 'auditor'], scope: 'instruments:read' } },
      schema: {
        operationId: 'instruments.get',
        tags: ['Instruments'],
        summary: 'Read an instrument',
        description: 'One instrument by id, with its newest revision, and an ETag to change it by.',
        params: Params,
        response: { 200: Instrument },
      },
    },
    async ({ params, principal }) => {
      const id = uuidOf('instrument', params.instrumentId)
      const row = await databases.asPrincipal(principal, (tx) => findInstrument(tx, id))
      if (row === undefined) throw notFound('instrument', params.instrumentId)
      return toInstrument(row)
    },
  )

  app.post(
    '/v1/instruments/:instrumentId/revisions',
    {
      config: { access: { roles: ['firm'], scope: 'instruments:write' }, problems: ['conflict'] },
      schema: {
        operationId: 'instruments.addRevision',
        tags: ['Instruments'],
        summary: 'Record a new certificate or accuracy',
        description:
          'Replaces, from a day on, all that is known of the instrument; what was recorded before stays on record.',
        params: Params,
        body: InstrumentFactsToRecord,
        response: { 201: Instrument },
      },
    },
    async ({ params, body, principal }, reply) => {
      const { effectiveFrom, ...facts } = body
      refuseBackwardSpans({ '/certificate': facts.certificate })
      const id = uuidOf('instrument', params.instrumentId)
      const by = { firmId: principal.firmId!, instrumentId: id, keyId: principal.keyId, at: now() }
      const stored = await refusingDuplicates(
        { instrument_revision_pkey: 'Another revision was recorded at the same moment; send this one again.' },
        () =>
          databases.asPrincipal(principal, async (tx) => {
            if ((await findInstrument(tx, id)) === undefined) throw notFound('instrument', params.instrumentId)
            await insertInstrumentRevision(tx, { ...by, effectiveFrom, facts })
            await recordChange(
              tx,
              { principal, at: by.at, newId },
              {
                noun: 'instrument',
                subject: id,
                deed: 'revision-recorded',
                changes: differences({}, { revision: body }),
                firmId: by.firmId,
              },
            )
            return findInstrument(tx, id)
          }),
      )
      return reply.code(201).header('location', `/v1/instruments/${params.instrumentId}`).send(toInstrument(stored!))
    },
  )
}
