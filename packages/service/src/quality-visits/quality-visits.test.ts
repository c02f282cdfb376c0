/** Quality visits from the announcement to the comparison, and what is refused on the way. */
import { createHash } from 'node:crypto'
import { canonicalBytes } from '@liftledger/ledger'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { ALL_TESTS, announce } from '../../../../tests/setup/quality-visits.ts'
import { asKey, officeKey } from '../../../../tests/setup/rule-sets.ts'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, sheetWith, visitContext } from '../../../../tests/setup/visit.ts'
import { connect } from '../db/testing.ts'
import { fromWire } from '../http/ids.ts'
import { drawVisits } from './draw.ts'
import type { QualityAssignment, QualityDraw, QualityVisit, QualityVisitDetail } from './schemas.ts'

let service: TestService
let announcer: string
let drawer: string
let tests: string[]
let plantId: string

const CONSENT = { givenAt: '2026-05-04T09:30:00Z', by: 'grower', evidence: 'E-1' }
const give = (firm: 'firmA' | 'firmB', id: string) =>
  service.call(firm, `POST /v1/tests/${id}/programs`, { body: { programId: service.program, consent: CONSENT } })
const submit = async (firm: 'firmA' | 'firmB', changes: Readonly<Record<string, unknown>>): Promise<string> => {
  const { status, body } = await service.call<{ id: string }>(firm, 'POST /v1/tests', { body: sheetWith(changes) })
  expect(status).toBe(201)
  expect((await give(firm, body.id)).status).toBe(201)
  return body.id
}

beforeAll(async () => {
  service = await startTestService()
  ;({ plantId } = await registerContext(service, 'firmA'))
  // The other firm tests with people and instruments of its own, on the same plant.
  await service.call('admin', `POST /v1/plants/${plantId}/access`, { body: { firmId: service.firmB } })
  await service.call('firmB', 'POST /v1/testers', { body: visitContext.tester })
  for (const instrument of visitContext.instruments)
    await service.call('firmB', 'POST /v1/instruments', { body: { ...instrument, effectiveFrom: '2025-01-01' } })
  announcer = await officeKey(service, service.program, 'P-7')
  drawer = await officeKey(service, service.program, 'P-8')
  tests = []
  for (const psi of [40, 41, 42]) tests.push(await submit('firmA', { '/runs/0/dischargePressure/reading/value': psi }))
})
afterAll(() => service.close())

const draw = (id: string, key = drawer) => asKey<QualityDraw>(service, key, `POST /v1/quality-draws/${id}/drawing`)
const visitsOf = async (id: string) =>
  (await asKey<{ items: QualityVisit[] }>(service, drawer, `GET /v1/quality-draws/${id}/visits?limit=200`)).body.items
const step = (id: string, body: object) =>
  asKey<QualityVisit>(service, drawer, `POST /v1/quality-visits/${id}/steps`, body)
const sha256 = (...parts: (string | Uint8Array)[]) =>
  parts.reduce((hash, part) => hash.update(part), createHash('sha256')).digest('hex')
const entriesOf = async (kind: string): Promise<Record<string, string>[]> => {
  const client = await connect(service.databaseUrl)
  const { rows } = await client.query<{ entry: Buffer }>(
    'select entry from ll.ledger_entry where kind = $1 order by index',
    [kind],
  )
  return rows.map(({ entry }) => JSON.parse(entry.toString()) as Record<string, string>)
}

describe('a draw', () => {
  test('fixes seed and terms in the ledger before anybody knows the seed', async () => {
    const answer = await asKey<QualityDraw>(service, announcer, 'POST /v1/quality-draws', ALL_TESTS)
    expect(answer.status).toBe(201)
    const { body } = answer
    expect(body).toMatchObject({ state: 'announced', announcedBy: 'P-7', terms: ALL_TESTS })
    expect(body.seed).toBeUndefined()
    const entry = (await entriesOf('quality-draw')).at(-1)!
    expect(entry).toMatchObject({
      draw: body.id,
      seedSha256: body.seedSha256,
      termsSha256: sha256(canonicalBytes({ ...ALL_TESTS })),
    })
    const client = await connect(service.databaseUrl, 'll_program')
    await client.query("select set_config('app.program', $1, false)", [fromWire('program', service.program)])
    await expect(client.query('select seed from quality_draw')).rejects.toThrow(/permission denied/)
  })

  test('is drawn by another person, once; then anyone with the seed gets the same', async () => {
    const id = await announce(service, announcer, { ...ALL_TESTS, shareAtRandom: 0.5, shareByWeight: 0.3 })
    expect(await draw(id, announcer)).toMatchObject({ status: 409, body: { detail: expect.stringContaining('P-7') } })
    const { status, body } = await draw(id)
    expect(status).toBe(201)
    expect(body).toMatchObject({ state: 'drawn', drawnBy: 'P-8', considered: 3 })
    expect(sha256(Buffer.from(body.seed!, 'hex'))).toBe(body.seedSha256)
    expect((await entriesOf('quality-drawing')).at(-1)).toMatchObject({ draw: id, seed: body.seed })
    expect(await draw(id)).toMatchObject({ status: 409, body: { detail: expect.stringContaining('drawn before') } })
    // All three are early tests of one tester, and nothing else: drawn again from the seed alone.
    const visits = await visitsOf(id)
    const early = { hasCaution: false, hasHold: false, turnOfTester: 1, expandedShare: 0.05 }
    const again = drawVisits(
      Buffer.from(body.seed!, 'hex'),
      { atRandom: 0.5, byWeight: 0.3 },
      tests.map((one) => ({ ...early, testId: fromWire('test', one)! })),
    ).filter(({ drawn }) => drawn !== undefined)
    expect(visits.map(({ testId }) => fromWire('test', testId)).toSorted()).toEqual(again.map(({ testId }) => testId))
    expect(body.visits).toBe(again.length)
  })

  test('considers what was never drawn, and what the program had at the announcement', async () => {
    const id = await announce(service, announcer)
    const late = await submit('firmA', { '/runs/0/dischargePressure/reading/value': 43 })
    const { body } = await draw(id)
    const drawn = new Set<string>()
    const client = await connect(service.databaseUrl)
    const { rows } = await client.query<{ id: string; n: number }>(
      'select test_id as id, count(*)::int as n from ll.quality_visit_step where turn = 0 group by 1',
    )
    for (const { id: test, n } of rows) {
      expect(n).toBe(1)
      drawn.add(test)
    }
    expect(drawn).toEqual(new Set(tests.map((one) => fromWire('test', one)!)))
    expect(body.considered).toBe(body.visits)
    expect(drawn.has(fromWire('test', late)!)).toBe(false)
  })

  test.each([
    ['days that run backwards', { testedUntil: '2019-01-01' }, '/testedUntil'],
    ['shares of nothing', { shareAtRandom: 0 }, '/shareAtRandom'],
    ['a share above 1', { shareAtRandom: 1.5 }, '/shareAtRandom'],
  ])('with %s is refused at its place', async (_, change, pointer) => {
    const answer = await asKey(service, announcer, 'POST /v1/quality-draws', { ...ALL_TESTS, ...change })
    expect(answer).toMatchObject({ status: 400, body: { errors: [{ pointer }] } })
  })

  test('asks who it is', async () => {
    const nobody = await officeKey(service, service.program)
    const answer = await asKey(service, nobody, 'POST /v1/quality-draws', ALL_TESTS)
    expect(answer).toMatchObject({ status: 403, body: { detail: expect.stringContaining('holder') } })
  })
})

describe('a visit', () => {
  /** A visit about a test of its own. */
  async function fresh(psi: number): Promise<QualityVisit> {
    const testId = await submit('firmA', { '/runs/0/dischargePressure/reading/value': psi })
    const id = await announce(service, announcer)
    await draw(id)
    return (await visitsOf(id)).find((visit) => visit.testId === testId)!
  }
  /** The clock of the service stands at the day of its tests. */
  const today = (visit: QualityVisit): string => visit.testFrom!

  test('is tested again by another firm, and both tests are compared', async () => {
    const visit = await fresh(44)
    expect(visit).toMatchObject({ state: 'drawn', turn: 0, firmId: service.firmA, plantId })
    const { status, body: assigned } = await step(visit.id, { step: 'assigned', firmId: service.firmB })
    expect([status, assigned.state, assigned.assignedFirmId]).toEqual([201, 'assigned', service.firmB])
    const retest = await submit('firmB', {
      '/testedOn': today(assigned),
      '/runs/0/dischargePressure/reading/value': 60,
    })
    expect(await step(visit.id, { step: 'tested-again', testId: retest })).toMatchObject({
      status: 201,
      body: { state: 'tested-again', retestId: retest, turn: 2 },
    })
    const { body } = await asKey<QualityVisitDetail>(service, drawer, `GET /v1/quality-visits/${visit.id}`)
    const byQuantity = new Map(body.comparison!.differences.map((one) => [one.quantity, one]))
    expect([...byQuantity.keys()]).toEqual(['flow', 'total-dynamic-head', 'input-power', 'overall-plant-efficiency'])
    // 16 psi more on the gauge: head and efficiency differ, flow and power don't.
    expect([...byQuantity].filter(([, { agrees }]) => !agrees).map(([quantity]) => quantity)).toEqual([
      'total-dynamic-head',
      'overall-plant-efficiency',
    ])
    const head = byQuantity.get('total-dynamic-head')!
    expect(head.difference).toBeCloseTo(16 * 0.70307, 1)
    expect(head.en).toBeCloseTo(head.difference / head.expandedUncertainty, 12)
    expect(body.comparison!.remark).toMatch(
      /total dynamic head, overall plant efficiency .*reason to compare the instruments/,
    )
    // Each step is in the ledger under a salted hash, and says nothing else.
    const steps = (await entriesOf('quality-visit-step')).filter((entry) => entry.visit === visit.id)
    expect(steps.map(({ turn }) => turn)).toEqual([1, 2])
    expect(JSON.stringify(steps)).not.toContain(retest)
  })

  test('tells the firm that is asked the plant and the days, and nothing of the test', async () => {
    const visit = await fresh(45)
    await step(visit.id, { step: 'assigned', firmId: service.firmB })
    const list = async (firm: 'firmA' | 'firmB') =>
      (await service.call<{ items: QualityAssignment[] }>(firm, 'GET /v1/quality-assignments?limit=200')).body.items
    const own = (await list('firmB')).find(({ visitId }) => visitId === visit.id)!
    expect(own).toMatchObject({ plantId, state: 'assigned', programId: service.program })
    expect(JSON.stringify(own)).not.toMatch(new RegExp(`${visit.testId}|${service.firmA}|${visit.drawId}`))
    expect(await list('firmA')).toEqual([])
    await step(visit.id, { step: 'taken-back' })
    expect((await list('firmB')).find(({ visitId }) => visitId === visit.id)!.state).toBe('taken-back')
    const client = await connect(service.databaseUrl, 'll_firm')
    await expect(client.query('select test_id from quality_visit_step')).rejects.toThrow(/permission denied/)
    for (const firm of ['firmA', 'firmB'] as const)
      expect((await service.call(firm, `GET /v1/quality-visits/${visit.id}`)).status).toBe(403)
  })

  test('is not for the firm that tested first, nor one without access, nor one that there is not', async () => {
    const visit = await fresh(46)
    const stranger = await service.call<{ id: string }>('admin', 'POST /v1/firms', {
      body: { name: 'Stranger (invented)' },
    })
    for (const [firmId, detail] of [
      [service.firmA, /another firm/],
      [stranger.body.id, /no access to the plant/],
    ] as const)
      expect(await step(visit.id, { step: 'assigned', firmId })).toMatchObject({
        status: 409,
        body: { detail: expect.stringMatching(detail) },
      })
    expect(await step(visit.id, { step: 'tested-again', testId: visit.testId })).toMatchObject({
      status: 409,
      body: { detail: expect.stringContaining('assigned, let-go') },
    })
    expect(await step(visit.id, { step: 'assigned' })).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '/firmId' }] },
    })
    expect(await step(visit.id, { step: 'let-go', reason: 'unsafe' })).toMatchObject({ status: 201 })
    expect(await step(visit.id, { step: 'assigned', firmId: service.firmB })).toMatchObject({
      status: 409,
      body: { detail: expect.stringContaining('ends there') },
    })
  })

  test('takes no test for a re-test that is another firm’s, of another day, or of changed equipment', async () => {
    const visit = await fresh(47)
    const { body: assigned } = await step(visit.id, { step: 'assigned', firmId: service.firmB })
    const late = new Date(Date.parse(assigned.testUntil!) + 86_400_000).toISOString().slice(0, 10)
    const refuse = async (testId: string, detail: RegExp) =>
      expect(await step(visit.id, { step: 'tested-again', testId })).toMatchObject({
        status: 409,
        body: { detail: expect.stringMatching(detail) },
      })
    await refuse(tests[0]!, /not a test of the firm that was asked/)
    expect(late > assigned.testUntil!).toBe(true)
    await refuse(
      await submit('firmB', { '/testedOn': '2026-05-01', '/runs/0/dischargePressure/reading/value': 47.5 }),
      /was asked for/,
    )
    await service.call('firmA', `POST /v1/plants/${plantId}/equipment`, {
      body: { ...visitContext.plant.equipment, revision: undefined, effectiveFrom: today(assigned) },
    })
    await refuse(
      await submit('firmB', { '/testedOn': today(assigned), '/runs/0/dischargePressure/reading/value': 48 }),
      /equipment of the plant was changed/,
    )
  })

  test('has its entries in the ledger found by its program, and by no other and no firm', async () => {
    const second = await service.call<{ id: string }>('admin', 'POST /v1/programs', {
      body: { name: 'Second (invented)' },
    })
    const kinds = async (role: 'll_program' | 'll_firm', setting: string, id: string): Promise<string[]> => {
      const client = await connect(service.databaseUrl, role)
      await client.query('select set_config($1, $2, false)', [setting, id])
      const { rows } = await client.query<{ kind: string }>(
        "select distinct kind from ledger_entry where kind like 'quality-%' order by 1",
      )
      return rows.map(({ kind }) => kind)
    }
    const all = ['quality-draw', 'quality-drawing', 'quality-visit-step']
    expect(await kinds('ll_program', 'app.program', fromWire('program', service.program)!)).toEqual(all)
    expect(await kinds('ll_program', 'app.program', fromWire('program', second.body.id)!)).toEqual([])
    for (const firm of [service.firmA, service.firmB])
      expect(await kinds('ll_firm', 'app.firm', fromWire('firm', firm)!)).toEqual([])
  })

  test('is neither changed nor removed, past every wall', async () => {
    const client = await connect(service.databaseUrl)
    for (const deed of [
      "update ll.quality_visit_step set step = 'assigned'",
      'delete from ll.quality_visit_step',
      'truncate ll.quality_visit_step cascade',
      "update ll.quality_draw set announcer = 'P-9'",
      "update ll.quality_draw set drawer = 'P-9' where drawn_at is not null",
      'delete from ll.quality_draw',
    ])
      await expect(client.query(deed), deed).rejects.toThrow(/append-only|drawn once/)
  })
})
