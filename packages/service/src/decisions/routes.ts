/** `/v1/tests/{id}/decisions`: a program's reader decides whether a finding of severity hold stands. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import { codeOf } from '../db/roles.ts'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import { notFound, Problem } from '../http/problem.ts'
import { turnAfter } from '../http/turns.ts'
import { type LedgerDeps, receiptFor } from '../ledger/append.ts'
import { findingsForProgram } from '../programs/standing.ts'
import {
  type DecisionRow,
  findDecision,
  findLastTurn,
  findTestToDecide,
  listDecisions,
  type TestToDecide,
} from './queries.ts'
import { type DecisionWords, FindingDecision, FindingDecisionPage, FindingToDecide } from './schemas.ts'
import { CLOSED, eraseWords, writeDecision } from './write.ts'

const toDecision = (row: DecisionRow): FindingDecision => ({
  id: toWire('decision', row.id),
  testId: toWire('test', row.test_id),
  programId: toWire('program', row.program_id),
  finding: row.finding,
  ...(row.run !== null && { run: row.run }),
  place: row.place,
  outcome: row.outcome as FindingDecision['outcome'],
  turn: row.turn,
  decidedAt: row.decided_at.toISOString(),
  decidedBy: row.key_id,
  sha256: row.sha256.toString('hex'),
  ...(row.salt !== null && { salt: row.salt.toString('hex') }),
  ...(row.words !== null && { words: JSON.parse(row.words.toString('utf8')) as DecisionWords }),
  ...(row.erased_at !== null && { erasedAt: row.erased_at.toISOString() }),
})

const testId = Id('test', 'Id of the test.')
const Params = Type.Object({ testId })

/** Throws `conflict` where the version is closed, or has no such finding of severity hold. */
function insistOnOpenHold({ findings, how, successor }: TestToDecide, asked: FindingToDecide): void {
  if (how === 'withdrawn') throw new Problem('conflict', 'The test was withdrawn; there is nothing to decide any more.')
  if (successor !== null) {
    throw new Problem(
      'conflict',
      `A later version, '${toWire('test', successor)}', took the place of this test. A decision is about one version: read the later one and decide anew.`,
    )
  }
  const named = findings.filter(({ id }) => id === asked.finding)
  const found = named.find(({ run, place }) => run === asked.run && place === asked.place)
  if (found === undefined) {
    const at = (found: { run?: number | undefined; place: string }): string =>
      `place '${found.place}'${found.run === undefined ? '' : ` of run ${found.run}`}`
    throw new Problem(
      'conflict',
      named.length === 0
        ? `The test has no finding '${asked.finding}'.`
        : `The test has no finding '${asked.finding}' at ${at(asked)}; it has it at ${named.map(at).join(', ')}.`,
    )
  }
  if (found.severity !== 'hold') {
    throw new Problem(
      'conflict',
      found.severity === 'reject'
        ? `Finding '${found.id}' is a reject, which is not decided away: it takes a revision by the firm.`
        : `Finding '${found.id}' is a ${found.severity} and holds nothing up; only a hold is decided on.`,
    )
  }
}

export const decisionRoutes: FastifyPluginAsyncTypebox<LedgerDeps> = async (app, deps) => {
  const { databases, config, now, newId, newSalt } = deps
  const cursors = new Cursors(config.keyPepper, now)

  /** The test and the turn that is next on this finding, with the eyes of the program. */
  const nextTurn = (principal: Principal, id: string, asked: FindingToDecide) =>
    databases.asPrincipal(principal, async (tx) => {
      const test = await findTestToDecide(tx, id)
      if (test === undefined) throw notFound('test', toWire('test', id))
      const { finding, run, place } = asked
      const isHold = test.findings.some(
        (one) => one.id === finding && one.run === run && one.place === place && one.severity === 'hold',
      )
      // What the method edition lets pass, the rules of the program may hold up.
      const findings = isHold ? undefined : await findingsForProgram(tx, principal.programId!, id)
      insistOnOpenHold({ ...test, findings: findings ?? test.findings }, asked)
      return { firmId: test.firm_id, turn: turnAfter(await findLastTurn(tx, id, { finding, run, place })) }
    })

  app.post(
    '/v1/tests/:testId/decisions',
    {
      config: { access: { roles: ['program'], scope: 'decisions:write' }, problems: ['conflict'], receipted: true },
      schema: {
        operationId: 'decisions.create',
        tags: ['Decisions'],
        summary: 'Decide on a finding',
        description:
          'Whether a finding of severity hold stands, one of the evaluation or one from the record, by a reader of a ' +
          'program that the test was given to. It is about ' +
          'this finding of this version, for this program alone, and goes into the ledger; who decided and why is kept ' +
          'beside it. A later decision on the same finding takes its place. A reject is not decided away.',
        params: Params,
        body: FindingToDecide,
        response: { 201: FindingDecision },
      },
    },
    async ({ params, body, principal }, reply) => {
      const { finding, run, place, outcome, reader, reason } = body
      const id = uuidOf('test', params.testId)
      const { firmId, turn } = await nextTurn(principal, id, body)
      const decided = { id: newId(), firmId, testId: id, programId: principal.programId!, at: now() }
      const made = {
        finding,
        run,
        place,
        outcome,
        turn,
        words: { reader, reason },
        salt: newSalt(),
        keyId: principal.keyId,
      }
      const { row, stored } = await writeDecision(databases.writer, decided, made).catch(async (error: unknown) => {
        // Taken back or closed since the look: then a second look says which.
        if (codeOf(error) === CLOSED) await nextTurn(principal, id, body)
        else if (codeOf(error) !== '23505') throw error
        throw new Problem(
          'conflict',
          'Another decision on this finding was recorded at the same moment; read the list.',
        )
      })
      return receiptFor(reply, deps, stored)
        .code(201)
        .header('location', `/v1/tests/${params.testId}/decisions`)
        .send(toDecision(row))
    },
  )

  app.get(
    '/v1/tests/:testId/decisions',
    {
      config: { access: { roles: ['firm', 'program', 'auditor'], scope: 'tests:read' }, readLog: { of: 'test' } },
      schema: {
        operationId: 'decisions.list',
        tags: ['Decisions'],
        summary: 'List the decisions on a test',
        description:
          'In the order in which they were made. A program sees its own; the firm of the test, and auditors, those of ' +
          'every program.',
        params: Params,
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: FindingDecisionPage },
      },
    },
    async (request, reply) => {
      const { params, principal } = request
      const id = uuidOf('test', params.testId)
      return cursors.page(
        { request, reply, list: { order: 'decisions by id', filter: { test: id } } },
        (part) =>
          databases.asPrincipal(principal, async (tx) => {
            if ((await findTestToDecide(tx, id)) === undefined) throw notFound('test', params.testId)
            return listDecisions(tx, id, part)
          }),
        toDecision,
      )
    },
  )

  app.delete(
    '/v1/tests/:testId/decisions/:decisionId/words',
    {
      config: { access: { roles: ['program'], scope: 'decisions:write' }, receipted: true },
      schema: {
        operationId: 'decisions.eraseWords',
        tags: ['Decisions'],
        summary: 'Erase who decided, and why',
        description:
          'The words and their salt are gone for good. The decision stands, and its entry in the ledger with it; the ' +
          'ledger keeps that and when they were erased. Erasing again changes nothing.',
        params: Type.Object({ testId, decisionId: Id('decision', 'Id of the decision.') }),
        response: { 200: FindingDecision },
      },
    },
    async ({ params, principal }, reply) => {
      const test = uuidOf('test', params.testId)
      const id = uuidOf('decision', params.decisionId)
      // The program's own, also of a test that was taken back from it since.
      const find = async () => {
        const row = await databases.asPrincipal(principal, (tx) => findDecision(tx, test, id))
        if (row === undefined) throw notFound('decision', params.decisionId)
        return row
      }
      const row = await find()
      if (row.erased_at !== null) return toDecision(row)
      const { firm_id: firmId } = row
      const erased = { id, firmId, testId: test, programId: principal.programId!, at: now() }
      receiptFor(reply, deps, await eraseWords(databases.writer, erased, newSalt()))
      return toDecision(await find())
    },
  )
}
