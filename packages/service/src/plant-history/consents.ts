/** `…/history-consents`: the grower lets one firm's tests of a plant be seen, as figures, by another firm. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { ConsentWithdrawal, refuseFutureWord } from '../http/consent.ts'
import { Cursors, PageQuery, type Place } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import { notFound, Problem, referenceNotFound } from '../http/problem.ts'
import { turnAfter } from '../http/turns.ts'
import { findLastTurn, insertTurn, isPlantVisible, listTurns, type TurnRow } from './queries.ts'
import { HistoryToShare, HistoryTurn, HistoryTurnPage } from './schemas.ts'

const toTurn = (row: TurnRow): HistoryTurn => ({
  plantId: toWire('plant', row.plant_id),
  firmId: toWire('firm', row.to_firm),
  turn: row.turn,
  consent: row.consent as HistoryTurn['consent'],
  saidAt: row.consented_at.toISOString(),
  ...(row.evidence !== null && { evidence: row.evidence }),
  recordedAt: row.recorded_at.toISOString(),
})

const plantId = Id('plant', 'Id of the plant.')
const Params = Type.Object({ plantId })

interface Word {
  readonly plantId: string
  readonly toFirm: string
  readonly consent: 'given' | 'withdrawn'
  readonly saidAt: string
  readonly evidence: string | null
}

export const historyConsentRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now }) => {
  const cursors = new Cursors(config.keyPepper, now)

  /** Adds the next turn of the caller's firm. Throws `conflict` where the last one says the same. */
  const say = (principal: Principal, word: Word): Promise<TurnRow> =>
    databases.asPrincipal(principal, async (tx) => {
      if (!(await isPlantVisible(tx, word.plantId))) throw notFound('plant', toWire('plant', word.plantId))
      const last = await findLastTurn(tx, word.plantId, word.toFirm)
      if (last === undefined && word.consent === 'withdrawn') throw notFound('firm', toWire('firm', word.toFirm))
      if (last?.consent === word.consent) {
        throw new Problem('conflict', `This was ${word.consent} before, at turn ${last.turn}; nothing was stored.`)
      }
      const row: TurnRow = {
        plant_id: word.plantId,
        to_firm: word.toFirm,
        turn: turnAfter(last?.turn ?? 0),
        consent: word.consent,
        consented_at: new Date(word.saidAt),
        evidence: word.evidence,
        recorded_at: now(),
      }
      const added = await insertTurn(tx, { ...row, from_firm: principal.firmId!, key_id: principal.keyId })
      if (!added) throw new Problem('conflict', 'Another turn was recorded at the same moment; read the list.')
      return row
    })

  app.post(
    '/v1/plants/:plantId/history-consents',
    {
      config: { access: { roles: ['firm'], scope: 'plants:write' }, problems: ['conflict', 'reference-not-found'] },
      schema: {
        operationId: 'plants.shareHistory',
        tags: ['Plants'],
        summary: 'Share this firm’s history of a plant',
        description:
          'With the grower’s consent another firm sees this firm’s tests of the plant, those to come too, as figures in ' +
          'the history: date, efficiency with its interval, specific capacity, lift, edition and soundness. Never the ' +
          'sheet, the tester or notes. It works one way; the other firm shares its own.',
        params: Params,
        body: HistoryToShare,
        response: { 201: HistoryTurn },
      },
    },
    async ({ params, body, principal }, reply) => {
      const { givenAt, evidence } = body.consent
      refuseFutureWord(givenAt, '/consent/givenAt', now())
      const toFirm = uuidOf('firm', body.firmId)
      if (toFirm === principal.firmId) throw withItself()
      const word = {
        plantId: uuidOf('plant', params.plantId),
        toFirm,
        consent: 'given',
        saidAt: givenAt,
        evidence,
      } as const
      const row = await refusingUnknownFirm(body.firmId, () => say(principal, word))
      return reply.code(201).header('location', `/v1/plants/${params.plantId}/history-consents`).send(toTurn(row))
    },
  )

  app.post(
    '/v1/plants/:plantId/history-consents/:firmId/withdrawal',
    {
      config: { access: { roles: ['firm'], scope: 'plants:write' }, problems: ['conflict'] },
      schema: {
        operationId: 'plants.closeHistory',
        tags: ['Plants'],
        summary: 'Close this firm’s history of a plant again',
        description:
          'The grower takes the consent back: from now on the other firm sees nothing of this firm’s tests of the plant. ' +
          'That it saw them before stays on record; the history may be opened again.',
        params: Type.Object({ plantId, firmId: Id('firm', 'Firm that will no longer see the history.') }),
        body: ConsentWithdrawal,
        response: { 201: HistoryTurn },
      },
    },
    async ({ params, body, principal }, reply) => {
      refuseFutureWord(body.withdrawnAt, '/withdrawnAt', now())
      const row = await say(principal, {
        plantId: uuidOf('plant', params.plantId),
        toFirm: uuidOf('firm', params.firmId),
        consent: 'withdrawn',
        saidAt: body.withdrawnAt,
        evidence: null,
      })
      return reply.code(201).header('location', `/v1/plants/${params.plantId}/history-consents`).send(toTurn(row))
    },
  )

  app.get(
    '/v1/plants/:plantId/history-consents',
    {
      config: { access: { roles: ['firm'], scope: 'plants:read' } },
      schema: {
        operationId: 'plants.listHistoryConsents',
        tags: ['Plants'],
        summary: 'List whom this firm shares its history with',
        description: 'Every turn, given and withdrawn, firm by firm; the last turn of each counts.',
        params: Params,
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: HistoryTurnPage },
      },
    },
    async (request, reply) => {
      const { params, principal } = request
      const id = uuidOf('plant', params.plantId)
      const list = { order: 'history turns by firm', filter: { plant: id } }
      return cursors.pageBy(
        BY_FIRM_AND_TURN,
        { request, reply, list },
        ({ after, limit }) =>
          databases.asPrincipal(principal, async (tx) => {
            if (!(await isPlantVisible(tx, id))) throw notFound('plant', params.plantId)
            return listTurns(tx, id, after, limit)
          }),
        toTurn,
      )
    },
  )
}

const BY_FIRM_AND_TURN: Place<TurnRow, { readonly toFirm: string; readonly turn: number }> = {
  valuesOf: ({ to_firm, turn }) => [to_firm, String(turn)],
  from: ([toFirm, turn]) => ({ toFirm: toFirm!, turn: Number(turn) }),
}

/** Runs `work`; where the foreign key finds no such firm, throws `reference-not-found` instead. */
async function refusingUnknownFirm<T>(firmId: string, work: () => Promise<T>): Promise<T> {
  try {
    return await work()
  } catch (error) {
    const { code, constraint } = error as { code?: unknown; constraint?: unknown }
    if (code !== '23503' || constraint !== 'plant_history_consent_to_firm_fkey') throw error
    throw referenceNotFound([{ pointer: '/firmId', noun: 'firm', code: firmId }])
  }
}

const withItself = (): Problem =>
  new Problem('invalid-request', 'A firm sees its own tests anyway; nothing was stored.', {
    errors: [{ pointer: '/firmId', code: 'wrong-shape', message: 'Name another firm than your own.' }],
  })
