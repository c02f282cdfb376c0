/** `/v1/tests/{id}/programs`: a test is given to programs with the grower's consent, and taken back. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { ConsentWithdrawal, refuseFutureWord } from '../http/consent.ts'
import { Cursors, PageQuery, type Place } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import { notFound, Problem, referenceNotFound } from '../http/problem.ts'
import { turnAfter } from '../http/turns.ts'
import {
  findGivable,
  findLastTurn,
  insertTurn,
  isProgram,
  listTurns,
  otherVersionsGiven,
  type TurnRow,
} from './queries.ts'
import { ProgramTurn, ProgramTurnPage, TestToGive } from './schemas.ts'

const toTurn = (row: TurnRow): ProgramTurn => ({
  testId: toWire('test', row.test_id),
  programId: toWire('program', row.program_id),
  turn: row.turn,
  consent: row.consent as ProgramTurn['consent'],
  saidAt: row.consented_at.toISOString(),
  ...(row.evidence !== null && { evidence: row.evidence }),
  recordedAt: row.recorded_at.toISOString(),
})

const testId = Id('test', 'Id of the test.')
const Params = Type.Object({ testId })

interface Word {
  readonly testId: string
  readonly programId: string
  readonly consent: 'given' | 'withdrawn'
  readonly saidAt: string
  readonly evidence: string | null
}

export const givenTestRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now }) => {
  const cursors = new Cursors(config.keyPepper, now)

  /** Adds the next turn. Throws `conflict` where the last one says the same. */
  const say = (principal: Principal, word: Word, onUnknownProgram: () => Problem): Promise<TurnRow> =>
    databases.asPrincipal(principal, async (tx) => {
      const test = await findGivable(tx, word.testId)
      if (test === undefined) throw notFound('test', toWire('test', word.testId))
      if (!(await isProgram(tx, word.programId))) throw onUnknownProgram()
      const last = await findLastTurn(tx, word.testId, word.programId)
      if ((last?.consent ?? 'withdrawn') === word.consent) throw saidBefore(word.consent, last)
      const row: TurnRow = {
        test_id: word.testId,
        program_id: word.programId,
        turn: turnAfter(last?.turn ?? 0),
        consent: word.consent,
        consented_at: new Date(word.saidAt),
        evidence: word.evidence,
        recorded_at: now(),
      }
      const add = async (turn: Pick<TurnRow, 'test_id' | 'turn'> & typeof test): Promise<void> => {
        if (await insertTurn(tx, { ...row, ...turn, key_id: principal.keyId })) return
        throw new Problem('conflict', 'Another turn was recorded at the same moment; read the list.')
      }
      await add({ ...test, test_id: row.test_id, turn: row.turn })
      // The grower's word is about the visit: what corrects the test goes with it, as it came with it.
      if (word.consent === 'withdrawn') {
        for (const version of await otherVersionsGiven(tx, word.testId, word.programId)) {
          await add({ ...version, turn: turnAfter(version.turn) })
        }
      }
      return row
    })

  app.post(
    '/v1/tests/:testId/programs',
    {
      config: { access: { roles: ['firm'], scope: 'tests:write' }, problems: ['conflict', 'reference-not-found'] },
      schema: {
        operationId: 'tests.giveToProgram',
        tags: ['Tests'],
        summary: 'Give a test to a program',
        description:
          'With the grower’s consent the program sees the test, its results and its findings at once, and never its ' +
          'notes. This is a record beside the test: the sheet and its hash stay as they are.',
        params: Params,
        body: TestToGive,
        response: { 201: ProgramTurn },
      },
    },
    async ({ params, body, principal }, reply) => {
      const { givenAt, evidence } = body.consent
      refuseFutureWord(givenAt, '/consent/givenAt', now())
      const ids = { testId: uuidOf('test', params.testId), programId: uuidOf('program', body.programId) }
      const row = await say(principal, { ...ids, consent: 'given', saidAt: givenAt, evidence }, () =>
        referenceNotFound([{ pointer: '/programId', noun: 'program', code: body.programId }]),
      )
      return reply.code(201).header('location', `/v1/tests/${params.testId}/programs`).send(toTurn(row))
    },
  )

  app.post(
    '/v1/tests/:testId/programs/:programId/withdrawal',
    {
      config: { access: { roles: ['firm'], scope: 'tests:write' }, problems: ['conflict'] },
      schema: {
        operationId: 'tests.takeFromProgram',
        tags: ['Tests'],
        summary: 'Take a test back from a program',
        description:
          'The program no longer sees the test, in any of its versions. That it saw it before, and until when, stays on ' +
          'record; the test may be given again.',
        params: Type.Object({ testId, programId: Id('program', 'Id of the program.') }),
        body: ConsentWithdrawal,
        response: { 201: ProgramTurn },
      },
    },
    async ({ params, body, principal }, reply) => {
      refuseFutureWord(body.withdrawnAt, '/withdrawnAt', now())
      const ids = { testId: uuidOf('test', params.testId), programId: uuidOf('program', params.programId) }
      const word = { ...ids, consent: 'withdrawn', saidAt: body.withdrawnAt, evidence: null } as const
      const row = await say(principal, word, () => notFound('program', params.programId))
      return reply.code(201).header('location', `/v1/tests/${params.testId}/programs`).send(toTurn(row))
    },
  )

  app.get(
    '/v1/tests/:testId/programs',
    {
      config: { access: { roles: ['firm', 'program', 'auditor'], scope: 'tests:read' }, readLog: { of: 'test' } },
      schema: {
        operationId: 'tests.listPrograms',
        tags: ['Tests'],
        summary: 'List the programs a test was given to',
        description: 'Every turn, given and withdrawn, program by program; the last turn of each counts.',
        params: Params,
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: ProgramTurnPage },
      },
    },
    async (request, reply) => {
      const { params, principal } = request
      const id = uuidOf('test', params.testId)
      const list = { order: 'turns by program', filter: { test: id } }
      return cursors.pageBy(
        BY_PROGRAM_AND_TURN,
        { request, reply, list },
        ({ after, limit }) =>
          databases.asPrincipal(principal, async (tx) => {
            if ((await findGivable(tx, id)) === undefined) throw notFound('test', params.testId)
            return listTurns(tx, id, after, limit)
          }),
        toTurn,
      )
    },
  )
}

const BY_PROGRAM_AND_TURN: Place<TurnRow, { readonly programId: string; readonly turn: number }> = {
  valuesOf: ({ program_id, turn }) => [program_id, String(turn)],
  from: ([programId, turn]) => ({ programId: programId!, turn: Number(turn) }),
}

function saidBefore(consent: Word['consent'], last: TurnRow | undefined): Problem {
  if (consent === 'given') return new Problem('conflict', 'The program has this test already; nothing was stored.')
  return new Problem(
    'conflict',
    last === undefined
      ? 'The test was never given to this program; nothing was stored.'
      : 'The test was taken back from this program before; nothing was stored.',
  )
}
