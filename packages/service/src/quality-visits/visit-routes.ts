/** `/v1/quality-visits`: what becomes of a drawn test, and how it compares with its re-test. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import { codeOf } from '../db/roles.ts'
import { readTest } from '../field-tests/load.ts'
import { Cursors, PageQuery, type Place } from '../http/cursor.ts'
import { fromWire, toWire, uuidOf } from '../http/ids.ts'
import type { Principal } from '../http/principal.ts'
import { notFound, Problem } from '../http/problem.ts'
import { type LedgerDeps, receiptFor } from '../ledger/append.ts'
import { comparisonOf, unfitBecause } from './compare.ts'
import { type OutcomeTest, readOutcome } from './outcome.ts'
import {
  type AssignmentRow,
  type DrawRow,
  findDraw,
  findVisit,
  listAssignments,
  listVisits,
  type VisitRow,
} from './queries.ts'
import {
  type DrawToAnnounce,
  drawId,
  type QualityAssignment,
  QualityAssignmentPage,
  QualityVisit,
  QualityVisitDetail,
  QualityVisitPage,
  VisitStep,
  visitId,
} from './schemas.ts'
import { OVERTAKEN, type Step, WITHOUT_ACCESS, writeStep } from './write.ts'

const OFFICE = { roles: ['program'], scope: 'quality-visits:write' } as const
const READERS = { roles: ['program', 'auditor'], scope: 'programs:read' } as const

const MIND =
  'Test the plant as you would any other, with your own instruments, by local codes and practice, and give the test to the program. A reading that is not safe to take is left out.'

/** What may follow on what. */
const MOVES: Readonly<Record<string, readonly VisitStep['step'][]>> = {
  drawn: ['assigned', 'let-go'],
  assigned: ['tested-again', 'taken-back', 'let-go'],
  'taken-back': ['assigned', 'let-go'],
  'tested-again': [],
  'let-go': [],
}
const MEMBER = { assigned: 'firmId', 'tested-again': 'testId', 'let-go': 'reason' } as const

const optional = <K extends string, V>(name: K, value: V | null): { [_ in K]?: V } =>
  value === null ? {} : ({ [name]: value } as { [_ in K]: V })

function toVisit(row: VisitRow, why: OutcomeTest | undefined): QualityVisit {
  const isAsked = row.step === 'assigned' || row.step === 'tested-again'
  return {
    id: toWire('quality visit', row.visit_id),
    drawId: toWire('quality draw', row.draw_id),
    testId: toWire('test', row.test_id),
    plantId: toWire('plant', row.plant_id),
    firmId: toWire('firm', row.firm_id),
    why: { by: why!.drawn!, weight: why!.weight, reasons: [...why!.reasons] },
    state: row.step as QualityVisit['state'],
    turn: row.turn,
    since: row.at.toISOString(),
    ...(isAsked && {
      assignedFirmId: toWire('firm', row.assigned_firm!),
      testFrom: row.test_from!,
      testUntil: row.test_until!,
    }),
    ...optional('retestId', row.retest_id === null ? null : toWire('test', row.retest_id)),
    ...optional('reason', row.reason as NonNullable<QualityVisit['reason']> | null),
  }
}

const BY_VISIT = {
  valuesOf: ({ visit_id }: { readonly visit_id: string }) => [visit_id],
  from: ([id]: readonly string[]) => id!,
} satisfies Place<{ readonly visit_id: string }, string>

const whyOf = ({ outcome }: Pick<DrawRow, 'outcome'>): ReadonlyMap<string, OutcomeTest> =>
  new Map((outcome === null ? [] : readOutcome(outcome).tests).map((one) => [one.testId, one]))

const toAssignment = (row: AssignmentRow): QualityAssignment => ({
  visitId: toWire('quality visit', row.visit_id),
  programId: toWire('program', row.program_id),
  plantId: toWire('plant', row.plant_id),
  state: row.step as QualityAssignment['state'],
  since: row.at.toISOString(),
  testFrom: row.test_from!,
  testUntil: row.test_until!,
  remark: MIND,
})

const DAY = 86_400_000
const dayAfter = (from: Date, days: number): string => new Date(from.getTime() + days * DAY).toISOString().slice(0, 10)

/** Throws `invalid-request` where the step lacks its member or has another’s; `conflict` where it can’t follow. */
function insistOnMove(row: VisitRow, asked: VisitStep): void {
  for (const [step, member] of Object.entries(MEMBER) as [keyof typeof MEMBER, 'firmId' | 'testId' | 'reason'][]) {
    const given = asked[member] !== undefined
    if (given === (asked.step === step)) continue
    const message = given ? `The step ${asked.step} has no ${member}.` : `The step ${step} must have a ${member}.`
    const code = given ? 'unknown-field' : 'missing-member'
    throw new Problem('invalid-request', message, { errors: [{ pointer: `/${member}`, code, message }] })
  }
  const allowed = MOVES[row.step]!
  if (allowed.includes(asked.step)) return
  throw new Problem(
    'conflict',
    allowed.length === 0
      ? `The visit is ${row.step} and ends there.`
      : `The visit is ${row.step}; what may follow is ${allowed.join(', ')}.`,
  )
}

export const qualityVisitRoutes: FastifyPluginAsyncTypebox<LedgerDeps> = async (app, deps) => {
  const { databases, config, now, newSalt } = deps
  const cursors = new Cursors(config.keyPepper, now)

  /** The visit with its draw, with the eyes of the principal. */
  const find = (principal: Principal, wireId: string): Promise<{ readonly row: VisitRow; readonly draw: DrawRow }> =>
    databases.asPrincipal(principal, async (tx) => {
      const row = await findVisit(tx, uuidOf('quality visit', wireId))
      const draw = row === undefined ? undefined : await findDraw(tx, row.draw_id)
      if (row === undefined || draw === undefined) throw notFound('quality visit', wireId)
      return { row, draw }
    })
  const visitOf = ({ row, draw }: { readonly row: VisitRow; readonly draw: DrawRow }): QualityVisit =>
    toVisit(row, whyOf(draw).get(row.test_id))

  app.get(
    '/v1/quality-draws/:drawId/visits',
    {
      config: { access: READERS },
      schema: {
        operationId: 'qualityVisits.list',
        tags: ['Quality visits'],
        summary: 'List the visits of a draw',
        description: 'Each with why it was drawn and what became of it.',
        params: Type.Object({ drawId }),
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: QualityVisitPage },
      },
    },
    async (request, reply) => {
      const { principal, params } = request
      const id = uuidOf('quality draw', params.drawId)
      const draw = await databases.asPrincipal(principal, (tx) => findDraw(tx, id))
      if (draw === undefined) throw notFound('quality draw', params.drawId)
      const why = whyOf(draw)
      return cursors.pageBy(
        BY_VISIT,
        { request, reply, list: { order: 'visits by id', filter: { draw: id } } },
        (part) => databases.asPrincipal(principal, (tx) => listVisits(tx, id, part)),
        (row: VisitRow) => toVisit(row, why.get(row.test_id)),
      )
    },
  )

  app.get(
    '/v1/quality-visits/:visitId',
    {
      config: {
        access: { roles: ['program', 'auditor'], scope: 'tests:read' },
        problems: ['conflict'],
        readLog: { of: 'tests' },
      },
      schema: {
        operationId: 'qualityVisits.get',
        tags: ['Quality visits'],
        summary: 'Read a visit, and the test beside its re-test',
        description:
          'Once the test was made again: the difference of each result with the joint uncertainty of both tests and of what ' +
          'the plant may have changed, and which of them don’t agree. The instruments are those of two firms, and so their ' +
          'errors are independent.',
        params: Type.Object({ visitId }),
        response: { 200: QualityVisitDetail },
      },
    },
    async (request): Promise<QualityVisitDetail> => {
      const { principal, params } = request
      const found = await find(principal, params.visitId)
      const { test_id: testId, retest_id: retestId } = found.row
      request.testsRead = retestId === null ? [] : [testId, retestId]
      if (retestId === null) return visitOf(found)
      const comparison = await databases.asPrincipal(principal, async (tx) =>
        comparisonOf(await readTest(tx, testId), await readTest(tx, retestId)),
      )
      return { ...visitOf(found), comparison }
    },
  )

  app.post(
    '/v1/quality-visits/:visitId/steps',
    {
      config: { access: OFFICE, problems: ['conflict', 'invalid-request'], receipted: true },
      schema: {
        operationId: 'qualityVisits.addStep',
        tags: ['Quality visits'],
        summary: 'Say what becomes of a visit',
        description:
          'Assign it to another firm that has access to the plant, take it back, name the re-test, or let it go. A re-test is a ' +
          'test of that firm, of the same plant under the same equipment, within the days asked for, that was given to the ' +
          'program. Each step goes into the ledger.',
        params: Type.Object({ visitId }),
        body: VisitStep,
        response: { 201: QualityVisit },
      },
    },
    async ({ principal, params, body }, reply) => {
      const { row, draw } = await find(principal, params.visitId)
      insistOnMove(row, body)
      const at = now()
      const about = await partOf(principal, row, draw, body, at)
      const step: Step = {
        ...{ visitId: row.visit_id, programId: row.program_id, turn: row.turn + 1, step: body.step },
        ...{ keyId: principal.keyId, at, salt: newSalt() },
        ...about,
      }
      const stored = await writeStep(databases.writer, step).catch((error: unknown) => {
        throw refusal(error) ?? error
      })
      receiptFor(reply.code(201), deps, stored).header('location', `/v1/quality-visits/${params.visitId}`)
      return visitOf(await find(principal, params.visitId))
    },
  )

  type Part = Pick<Step, 'assignedFirm' | 'testFrom' | 'testUntil' | 'retestId' | 'reason'>

  /** What the step says, with what it takes over from the step before. */
  async function partOf(principal: Principal, row: VisitRow, draw: DrawRow, body: VisitStep, at: Date): Promise<Part> {
    const before: Part = {
      ...optional('assignedFirm', row.assigned_firm),
      ...optional('testFrom', row.test_from),
      ...optional('testUntil', row.test_until),
    }
    if (body.step === 'assigned') {
      const { daysToTest } = JSON.parse(draw.terms.toString('utf8')) as DrawToAnnounce
      const assignedFirm = fromWire('firm', body.firmId!)!
      if (assignedFirm === row.firm_id)
        throw new Problem('conflict', 'The firm made the test itself; a re-test is another firm’s.')
      return { assignedFirm, testFrom: dayAfter(at, 0), testUntil: dayAfter(at, daysToTest) }
    }
    if (body.step === 'let-go') return { ...before, reason: body.reason! }
    if (body.step === 'taken-back') return before
    const retestId = fromWire('test', body.testId!)!
    const { test_from: from, test_until: until, assigned_firm: firm } = row
    await databases.asPrincipal(principal, async (tx) => {
      const [original, again] = [await readTest(tx, row.test_id), await readTest(tx, retestId)]
      const because = unfitBecause(original, again, { firm: firm!, from: from!, until: until! })
      if (because !== undefined)
        throw new Problem('conflict', `Test '${body.testId}' can’t be the re-test: ${because}.`)
    })
    return { ...before, retestId }
  }

  app.get(
    '/v1/quality-assignments',
    {
      config: { access: { roles: ['firm'], scope: 'plants:read' } },
      schema: {
        operationId: 'qualityAssignments.list',
        tags: ['Quality visits'],
        summary: 'List plants to test again',
        description:
          'Plants that programs ask the firm to test, with the days. Whose test it is about, and what that found, is not told: ' +
          'it would not be a test of its own then.',
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: QualityAssignmentPage },
      },
    },
    async (request, reply) =>
      cursors.pageBy(
        BY_VISIT,
        { request, reply, list: { order: 'assignments by visit' } },
        (part) => databases.asPrincipal(request.principal, (tx) => listAssignments(tx, part)),
        toAssignment,
      ),
  )
}

function refusal(error: unknown): Problem | undefined {
  switch (codeOf(error)) {
    case OVERTAKEN:
      return new Problem('conflict', 'Another step was recorded at the same moment; read the visit.')
    case WITHOUT_ACCESS:
      return new Problem(
        'conflict',
        'The firm has no access to the plant: it asks for access, or an administrator gives it, and then it can be asked to test.',
      )
    case '23503':
      return new Problem('conflict', 'There is no such firm.')
    case '23505':
      return new Problem('conflict', 'The test is the re-test of another visit already.')
    default:
      return undefined
  }
}
