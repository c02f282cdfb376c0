/** `/v1/quality-draws`: a program announces a draw, another person draws it, and both read what came of it. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import { codeOf } from '../db/roles.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { toWire, uuidOf } from '../http/ids.ts'
import { personBehind } from '../http/person.ts'
import type { Principal } from '../http/principal.ts'
import { notFound, Problem } from '../http/problem.ts'
import { type LedgerDeps, receiptFor } from '../ledger/append.ts'
import { drawVisits } from './draw.ts'
import { outcomeBytes, readOutcome } from './outcome.ts'
import { CANDIDATES_MAX, type CandidateRow, candidatesFor, type DrawRow, findDraw, listDraws } from './queries.ts'
import { DrawToAnnounce, drawId, QualityDraw, QualityDrawPage } from './schemas.ts'
import { announceDraw, OVERTAKEN, seedOf, writeDrawing } from './write.ts'

const OFFICE = { roles: ['program'], scope: 'quality-visits:write' } as const
const READERS = { roles: ['program', 'auditor'], scope: 'programs:read' } as const
const Params = Type.Object({ drawId })
const TWO_PERSONS = 'A draw is announced by one person and drawn by another'

const termsOf = ({ terms }: Pick<DrawRow, 'terms'>): DrawToAnnounce =>
  JSON.parse(terms.toString('utf8')) as DrawToAnnounce

function toDraw(row: DrawRow): QualityDraw {
  const outcome = row.outcome === null ? undefined : readOutcome(row.outcome)
  const drawnBy = (...lots: string[]): number =>
    outcome?.tests.filter(({ drawn }) => drawn !== undefined && lots.includes(drawn)).length ?? 0
  return {
    id: toWire('quality draw', row.id),
    programId: toWire('program', row.program_id),
    state: outcome === undefined ? 'announced' : 'drawn',
    terms: termsOf(row),
    announcedBy: row.announcer,
    announcedAt: row.announced_at.toISOString(),
    seedSha256: row.seed_sha256.toString('hex'),
    ledgerIndex: Number(row.ledger_index),
    ...(outcome !== undefined && {
      drawnBy: row.drawer!,
      drawnAt: row.drawn_at!.toISOString(),
      drawnLedgerIndex: Number(row.drawn_ledger_index),
      seed: outcome.seed,
      considered: outcome.tests.length,
      drawnAtRandom: drawnBy('at-random', 'both'),
      drawnByWeight: drawnBy('by-weight', 'both'),
      visits: drawnBy('at-random', 'by-weight', 'both'),
    }),
  }
}

const invalid = (pointer: string, message: string): Problem =>
  new Problem('invalid-request', message, { errors: [{ pointer, code: 'unknown-value', message }] })

function insistOnSense({ testedFrom, testedUntil, shareAtRandom, shareByWeight }: DrawToAnnounce): void {
  if (testedUntil < testedFrom) throw invalid('/testedUntil', 'testedUntil lies before testedFrom.')
  if (shareAtRandom === 0 && shareByWeight === 0)
    throw invalid('/shareAtRandom', 'Both shares are 0: nothing would be drawn. One of them must be above 0.')
}

const drawnBefore = (): Problem => new Problem('conflict', 'The draw was drawn before; a draw is drawn once.')

function insistOnSecondPerson(row: DrawRow, { keyId }: Principal, person: string): void {
  if (row.announcer !== person && row.announcer_key !== keyId) return
  throw new Problem('conflict', `${TWO_PERSONS}: '${row.announcer}' announced this one.`)
}

function insistOnFew(candidates: readonly CandidateRow[]): void {
  if (candidates.length <= CANDIDATES_MAX) return
  throw new Problem(
    'conflict',
    `More than ${CANDIDATES_MAX} tests would be weighed at once; announce draws over fewer days.`,
  )
}

export const qualityDrawRoutes: FastifyPluginAsyncTypebox<LedgerDeps> = async (app, deps) => {
  const { databases, config, now, newId, newSalt } = deps
  const cursors = new Cursors(config.keyPepper, now)
  const find = (principal: Principal, wireId: string): Promise<DrawRow> =>
    databases.asPrincipal(principal, async (tx) => {
      const row = await findDraw(tx, uuidOf('quality draw', wireId))
      if (row === undefined) throw notFound('quality draw', wireId)
      return row
    })

  app.post(
    '/v1/quality-draws',
    {
      config: { access: OFFICE, problems: ['conflict'], receipted: true },
      schema: {
        operationId: 'qualityDraws.announce',
        tags: ['Quality visits'],
        summary: 'Announce a draw of quality visits',
        description:
          'Says which tests may be drawn and how many. The service makes a seed that nobody is told, and its hash goes into ' +
          'the ledger with the terms: from then on neither can be chosen to suit somebody. Another person draws it.',
        body: DrawToAnnounce,
        response: { 201: QualityDraw },
      },
    },
    async ({ principal, body }, reply) => {
      const announcer = personBehind(principal, TWO_PERSONS)
      insistOnSense(body)
      const id = newId()
      const seed = Buffer.concat([newSalt(), newSalt()])
      const deed = { programId: principal.programId!, keyId: principal.keyId, at: now(), salt: newSalt() }
      const stored = await announceDraw(databases.writer, { ...deed, id, terms: body, seed, announcer })
      const wireId = toWire('quality draw', id)
      receiptFor(reply.code(201), deps, stored).header('location', `/v1/quality-draws/${wireId}`)
      return toDraw(await find(principal, wireId))
    },
  )

  app.post(
    '/v1/quality-draws/:drawId/drawing',
    {
      config: { access: OFFICE, problems: ['conflict'], receipted: true },
      schema: {
        operationId: 'qualityDraws.draw',
        tags: ['Quality visits'],
        summary: 'Draw the visits',
        description:
          'By another person than announced it. Of the tests that the program had at the announcement, each is drawn or not ' +
          'by a hash of the seed and its own id. The seed, and every test with its chance, are told then and hashed into the ' +
          'ledger, so that anyone can draw again. A test is drawn once.',
        params: Params,
        response: { 201: QualityDraw },
      },
    },
    async ({ principal, params }, reply) => {
      const drawer = personBehind(principal, TWO_PERSONS)
      const row = await find(principal, params.drawId)
      insistOnSecondPerson(row, principal, drawer)
      const seed = await seedOf(databases.writer, row.id, row.program_id)
      if (seed === undefined) throw drawnBefore()
      const { testedFrom: from, testedUntil: until, shareAtRandom: atRandom, shareByWeight: byWeight } = termsOf(row)
      const candidates = await databases.asPrincipal(principal, (tx) => candidatesFor(tx, row, { from, until }))
      insistOnFew(candidates)
      const byTest = new Map(candidates.map((candidate) => [candidate.testId, candidate]))
      const tests = drawVisits(seed, { atRandom, byWeight }, candidates).map((one) => ({
        ...one,
        ...(one.drawn !== undefined && { visitId: newId() }),
      }))
      const visits = tests.flatMap(({ testId, visitId }) => {
        const { plantId, firmId } = byTest.get(testId)!
        return visitId === undefined ? [] : [{ visitId, testId, plantId, firmId }]
      })
      const drawing = {
        ...{ id: row.id, programId: row.program_id, keyId: principal.keyId, at: now(), salt: newSalt() },
        ...{ announcer: row.announcer, drawer, seed, outcome: outcomeBytes(seed, tests), visits },
      }
      const stored = await writeDrawing(databases.writer, drawing).catch((error: unknown) => {
        if (codeOf(error) === OVERTAKEN) throw drawnBefore()
        if (codeOf(error) !== '23505') throw error
        throw new Problem('conflict', 'Another draw took one of these tests at the same moment; draw again.')
      })
      receiptFor(reply.code(201), deps, stored).header('location', `/v1/quality-draws/${params.drawId}`)
      return toDraw(await find(principal, params.drawId))
    },
  )

  app.get(
    '/v1/quality-draws',
    {
      config: { access: READERS },
      schema: {
        operationId: 'qualityDraws.list',
        tags: ['Quality visits'],
        summary: 'List draws',
        description: 'A program sees its own, an auditor all, in the order in which they were announced.',
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: QualityDrawPage },
      },
    },
    async (request, reply) =>
      cursors.page(
        { request, reply, list: { order: 'quality draws by id' } },
        (part) => databases.asPrincipal(request.principal, (tx) => listDraws(tx, part)),
        toDraw,
      ),
  )

  app.get(
    '/v1/quality-draws/:drawId',
    {
      config: { access: READERS },
      schema: {
        operationId: 'qualityDraws.get',
        tags: ['Quality visits'],
        summary: 'Read a draw',
        description: 'Its terms, and once it is drawn its seed and how many visits follow.',
        params: Params,
        response: { 200: QualityDraw },
      },
    },
    async ({ principal, params }) => toDraw(await find(principal, params.drawId)),
  )
}
