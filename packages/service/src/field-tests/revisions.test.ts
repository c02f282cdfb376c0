/** A test is corrected and taken back: versions, who sees them, and who comes first of two. */
import { createHash } from 'node:crypto'
import { pino } from 'pino'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, sheetWith, storedRows, visitContext, visitSheet } from '../../../../tests/setup/visit.ts'
import { buildApp } from '../app.ts'
import { openDatabases } from '../db/database.ts'
import { onConnection } from '../db/testing.ts'
import { fromWire } from '../http/ids.ts'
import type { TestVersion, VersionDifference } from './revision-schemas.ts'
import type { FieldTest, TestSummary } from './schemas.ts'

let service: TestService
beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  await registerContext(service, 'firmA', {
    ...visitContext,
    plant: { ...visitContext.plant, code: 'AM-02' },
    tester: { ...visitContext.tester, code: 'T-02' },
    instruments: [],
  })
})
afterAll(() => service.close())

type Answered = Awaited<ReturnType<TestService['call']>>
type Caller = Parameters<TestService['call']>[0]

const submit = async (body: unknown = visitSheet): Promise<FieldTest> =>
  (await service.call<FieldTest>('firmA', 'POST /v1/tests', { body })).body
const revise = (id: string, body: unknown, call: { reason?: string; headers?: Record<string, string> } = {}) =>
  service.call<FieldTest>('firmA', `POST /v1/tests/${id}/revisions?reason=${call.reason ?? 'misread'}`, {
    body,
    ...(call.headers && { headers: call.headers }),
  })
const withdraw = (id: string, reason = 'sent-twice') =>
  service.call('firmA', `POST /v1/tests/${id}/withdrawal`, { body: { reason } })
const read = async (id: string, caller: Caller = 'firmA') =>
  (await service.call<FieldTest>(caller, `GET /v1/tests/${id}`)).body
const versions = async (id: string, caller: Caller = 'firmA') =>
  (await service.call<{ versions: TestVersion[] }>(caller, `GET /v1/tests/${id}/versions`)).body.versions
const pressure = (value: number) => sheetWith({ '/runs/0/dischargePressure/reading/value': value })

const entryOf = (id: string, kind: string) =>
  onConnection(service.databaseUrl, undefined, async (client) => {
    const { rows } = await client.query<{ entry: Buffer; leaf_hash: Buffer; index: string; salt: Buffer; raw: Buffer }>(
      `select entry, leaf_hash, index, salt, raw from ll.ledger_entry join ll.field_test test on test.id = subject
       where subject = $1 and kind = $2`,
      [fromWire('test', id), kind],
    )
    expect(rows).toHaveLength(1)
    return rows[0]!
  })
const sha256 = (...parts: Uint8Array[]) => createHash('sha256').update(Buffer.concat(parts)).digest()

describe('a revision', () => {
  test('is a test of its own, with its bytes as received and an entry that names what it revises', async () => {
    const first = await submit()
    const sheet = ` ${JSON.stringify(pressure(43.5), null, 2)}\n`
    const answer = await revise(first.id, sheet, { reason: 'mistyped' })
    const { body: second } = answer
    expect(answer).toMatchObject({ status: 201, headers: { location: `/v1/tests/${second.id}` } })
    expect(second).toMatchObject({ revision: 2, revises: first.id, soundness: 'sound', plant: 'AM-01' })
    expect(await read(second.id)).toEqual(second)

    const { entry, leaf_hash, index, salt, raw } = await entryOf(second.id, 'revision')
    expect(raw.toString('utf8')).toBe(sheet)
    expect(leaf_hash).toEqual(sha256(Buffer.of(0), entry))
    expect(Number(index)).toBe(second.ledgerIndex)
    expect(JSON.parse(entry.toString())).toMatchObject({
      kind: 'revision',
      subject: second.id,
      revises: first.id,
      reason: 'mistyped',
      rawSha256: sha256(salt, raw).toString('hex'),
      at: second.receivedAt,
    })
    expect(await read(first.id)).toEqual({ ...first, soundness: 'superseded', supersededBy: second.id })
  })

  test('of a revision makes a chain, told alike from each of its versions', async () => {
    const first = await submit()
    const { body: second } = await revise(first.id, pressure(43.5))
    const { body: third } = await revise(second.id, pressure(44.5), { reason: 'answer-to-finding' })
    expect(third).toMatchObject({ revision: 3, revises: second.id })
    const chain = await versions(first.id)
    expect(chain.map(({ id, revision, soundness, reason }) => [id, revision, soundness, reason])).toEqual([
      [first.id, 1, 'superseded', undefined],
      [second.id, 2, 'superseded', 'misread'],
      [third.id, 3, 'sound', 'answer-to-finding'],
    ])
    for (const { id } of chain) expect(await versions(id)).toEqual(chain)
    const key = service.keys.firmA.split('_')[2]
    expect(chain.map(({ submittedBy }) => submittedBy)).toEqual([key, key, key])
  })

  test('is refused where another came first, and is told the latest', async () => {
    const first = await submit()
    const { body: second } = await revise(first.id, pressure(43.5))
    const { body: third } = await revise(second.id, pressure(44.5))
    const before = await storedRows(service)
    const late = await revise(first.id, pressure(45.5))
    expect(late).toMatchObject({ status: 409, body: { code: 'conflict', detail: expect.stringContaining(third.id) } })
    expect(await storedRows(service)).toEqual(before)
  })

  test.each([
    ['another plant', sheetWith({ '/plant': 'AM-02' }), 409, /withdraw/],
    ['a plant that is none', sheetWith({ '/plant': 'AM-99' }), 422, /1 place/],
    ['no sheet', { plant: 'AM-01' }, 400, /./],
  ])('of %s is refused, and nothing is stored', async (_, body, status, detail) => {
    const first = await submit()
    const before = await storedRows(service)
    expect(await revise(first.id, body)).toMatchObject({ status, body: { detail: expect.stringMatching(detail) } })
    expect(await storedRows(service)).toEqual(before)
    expect((await read(first.id)).soundness).toBe('sound')
  })

  test('needs a reason that is one', async () => {
    const first = await submit()
    const told = { status: 400, body: { errors: [{ parameter: 'reason' }] } }
    expect(await revise(first.id, visitSheet, { reason: 'because' })).toMatchObject(told)
    expect(await service.call('firmA', `POST /v1/tests/${first.id}/revisions`, { body: visitSheet })).toMatchObject(
      told,
    )
  })

  test('may correct the date and the tester of the visit', async () => {
    const first = await submit()
    const { body, status } = await revise(first.id, sheetWith({ '/testedOn': '2026-05-13' }), { reason: 'wrong-date' })
    expect(status).toBe(201)
    expect(body.testedOn).toBe('2026-05-13')
    expect((await revise(body.id, sheetWith({ '/tester': 'T-02' }), { reason: 'wrong-tester' })).body.tester).toBe(
      'T-02',
    )
  })

  test('sent again with the same key and bytes gets the same answer, with others none', async () => {
    const first = await submit()
    const headers = { 'idempotency-key': '"revision"' }
    const sent = await revise(first.id, pressure(43.5), { headers })
    const again = await revise(first.id, pressure(43.5), { headers })
    expect(again).toMatchObject({ status: 201, headers: { 'idempotent-replayed': 'true' } })
    expect(again.body).toEqual(sent.body)
    for (const [id, body, reason] of [
      [first.id, pressure(44.5), 'misread'],
      [first.id, pressure(43.5), 'mistyped'],
      [sent.body.id, pressure(43.5), 'misread'],
    ] as const) {
      expect((await revise(id, body, { headers, reason })).status).toBe(422)
    }
    // The first answer, as it was given, also when a later version has taken the place.
    await revise(sent.body.id, pressure(45.5))
    expect((await revise(first.id, pressure(43.5), { headers })).body).toEqual(sent.body)
    const key = { 'idempotency-key': '"first"' }
    const posted = await service.call<FieldTest>('firmA', 'POST /v1/tests', { body: visitSheet, headers: key })
    await revise(posted.body.id, pressure(43.5))
    const replayed = await service.call('firmA', 'POST /v1/tests', { body: visitSheet, headers: key })
    expect(replayed.body).toEqual(posted.body)
  })

  test('of a version that others revise at the same moment, in two processes, happens once', async () => {
    const databases = await openDatabases(service.databaseUrl, { production: false, log: pino({ level: 'silent' }) })
    const other = await buildApp({ ...service.deps, databases })
    try {
      for (let round = 0; round < 5; round++) {
        const first = await submit()
        const before = await storedRows(service)
        const answers = await Promise.all(
          Array.from({ length: 8 }, (_, n) =>
            (n % 2 === 0 ? service.app : other).inject({
              method: 'POST',
              url: `/v1/tests/${first.id}/revisions?reason=misread`,
              headers: { authorization: `Bearer ${service.keys.firmA}`, 'content-type': 'application/json' },
              payload: JSON.stringify(pressure(42 + n)),
            }),
          ),
        )
        const won = answers.filter(({ statusCode }) => statusCode === 201)
        expect(won).toHaveLength(1)
        const { id } = won[0]!.json<FieldTest>()
        for (const lost of answers.filter((answer) => answer !== won[0])) {
          expect(lost.json()).toMatchObject({ status: 409, detail: expect.stringContaining(id) })
        }
        const { tests, entries } = await storedRows(service)
        expect({ tests, entries }).toEqual({ tests: before.tests + 1, entries: before.entries + 1 })
        expect(await versions(first.id)).toHaveLength(2)
      }
    } finally {
      await other.close()
      await databases.close()
    }
  })
})

describe('a withdrawal', () => {
  test('is for good, in the ledger, and leaves the test to read', async () => {
    const first = await submit()
    const answer = await withdraw(first.id, 'readings-unreliable')
    expect(answer).toMatchObject({ status: 201, body: { test: first.id, reason: 'readings-unreliable' } })
    const { entry, leaf_hash } = await entryOf(first.id, 'withdrawal')
    expect(leaf_hash).toEqual(sha256(Buffer.of(0), entry))
    expect(JSON.parse(entry.toString())).toEqual({
      v: 1,
      kind: 'withdrawal',
      at: answer.body.withdrawnAt,
      firm: service.firmA,
      subject: first.id,
      reason: 'readings-unreliable',
      blind: expect.stringMatching(/^[0-9a-f]{32}$/),
    })
    expect(await read(first.id)).toEqual({ ...first, soundness: 'withdrawn' })
    expect(await versions(first.id)).toMatchObject([{ soundness: 'withdrawn', withdrawal: answer.body }])
    for (const late of [await withdraw(first.id), await revise(first.id, pressure(43.5))]) {
      expect(late).toMatchObject({ status: 409, body: { detail: expect.stringContaining('withdrawn') } })
    }
  })

  test('is of the latest version; what it superseded stays superseded', async () => {
    const first = await submit()
    const { body: second } = await revise(first.id, pressure(43.5))
    expect(await withdraw(first.id)).toMatchObject({
      status: 409,
      body: { detail: expect.stringContaining(second.id) },
    })
    expect((await withdraw(second.id)).status).toBe(201)
    expect((await versions(first.id)).map(({ soundness }) => soundness)).toEqual(['superseded', 'withdrawn'])
  })

  test('and a revision at the same moment: one of them happens', async () => {
    for (let round = 0; round < 5; round++) {
      const first = await submit()
      const answers: Answered[] = await Promise.all([withdraw(first.id), revise(first.id, pressure(43.5))])
      expect(answers.map(({ status }) => status).toSorted()).toEqual([201, 409])
    }
  })
})

describe('who reads', () => {
  test('a list has the latest versions, and all on request, each marked', async () => {
    const first = await submit(sheetWith({ '/plant': 'AM-02' }))
    const { body: second } = await revise(first.id, sheetWith({ '/plant': 'AM-02' }))
    const list = async (query: string) =>
      (await service.call<{ items: TestSummary[] }>('firmA', `GET /v1/tests?plant=AM-02${query}`)).body.items.map(
        ({ id, soundness, revision, supersededBy }) => ({ id, soundness, revision, supersededBy }),
      )
    const latest = { id: second.id, soundness: 'sound', revision: 2, supersededBy: undefined }
    const old = { id: first.id, soundness: 'superseded', revision: 1, supersededBy: second.id }
    expect(await list('')).toEqual([latest])
    expect(await list('&versions=all')).toEqual([latest, old])
    await withdraw(second.id)
    expect(await list('')).toEqual([{ ...latest, soundness: 'withdrawn' }])
  })

  test('auditor and keeper see all of it; another firm and a stranger nothing', async () => {
    const first = await submit()
    const { body: second } = await revise(first.id, pressure(43.5))
    const chain = await versions(first.id)
    for (const reader of ['auditor', 'keeper'] as const) {
      expect(await versions(second.id, reader)).toEqual(chain)
      expect(await read(first.id, reader)).toMatchObject({ soundness: 'superseded', supersededBy: second.id })
    }
    for (const address of ['versions', 'difference', 'replay']) {
      expect((await service.call('firmB', `GET /v1/tests/${second.id}/${address}`)).status).toBe(404)
    }
    const [revision, withdrawal] = [
      `/v1/tests/${second.id}/revisions?reason=misread`,
      `/v1/tests/${second.id}/withdrawal`,
    ]
    const call = { body: visitSheet }
    // Its own codes first, so that the answer tells nothing of the test.
    expect((await service.call('firmB', `POST ${revision}`, call)).status).toBeOneOf([404, 422])
    const reason = { body: { reason: 'sent-twice' } }
    expect((await service.call('firmB', `POST ${withdrawal}`, reason)).status).toBe(404)
    for (const other of ['program', 'auditor', 'keeper', 'admin'] as const) {
      expect((await service.call(other, `POST ${revision}`, call)).status).toBe(403)
      expect((await service.call(other, `POST ${withdrawal}`, reason)).status).toBe(403)
    }
  })

  test('a program sees the versions it has, and a revision of one it has', async () => {
    const consent = { givenAt: '2026-05-04T09:30:00Z', by: 'grower', evidence: 'E-1' }
    const give = (id: string) =>
      service.call('firmA', `POST /v1/tests/${id}/programs`, { body: { programId: service.program, consent } })
    const first = await submit()
    const { body: second } = await revise(first.id, pressure(43.5))
    expect((await service.call('program', `GET /v1/tests/${second.id}/versions`)).status).toBe(404)
    await give(second.id)
    expect((await versions(second.id, 'program')).map(({ id }) => id)).toEqual([second.id])
    const { body: third } = await revise(second.id, pressure(44.5))
    expect((await versions(third.id, 'program')).map(({ id }) => id)).toEqual([second.id, third.id])
    expect(await read(second.id, 'program')).toMatchObject({ soundness: 'superseded', supersededBy: third.id })
    expect((await service.call('program', `GET /v1/tests/${third.id}/difference`)).status).toBe(200)
    expect((await service.call('program', `GET /v1/tests/${third.id}/difference?from=${first.id}`)).status).toBe(404)
    // Taken back before, it is not given by a revision.
    await service.call('firmA', `POST /v1/tests/${third.id}/programs/${service.program}/withdrawal`, {
      body: { withdrawnAt: '2026-05-05T09:30:00Z' },
    })
    const { body: fourth } = await revise(third.id, pressure(45.5))
    expect((await service.call('program', `GET /v1/tests/${fourth.id}`)).status).toBe(404)
  })

  test('what was read before a revision is not told after it from memory', async () => {
    const first = await submit()
    const before = await service.call('firmA', `GET /v1/tests/${first.id}`)
    await read(first.id, 'auditor')
    const { body: second } = await revise(first.id, pressure(43.5))
    for (const caller of ['firmA', 'auditor'] as const) {
      expect(await read(first.id, caller)).toMatchObject({ soundness: 'superseded', supersededBy: second.id })
    }
    const tag = { 'if-none-match': String(before.headers.etag) }
    expect((await service.call('firmA', `GET /v1/tests/${first.id}`, { headers: tag })).status).toBe(200)
    const findings = await service.call('firmA', `GET /v1/tests/${first.id}/findings`)
    expect(findings.body.soundness).toBe('superseded')
  })
})

describe('the difference of two versions', () => {
  const difference = async (id: string, query = '') =>
    (await service.call<VersionDifference>('firmA', `GET /v1/tests/${id}/difference${query}`)).body

  test('tells each reading by its place, results by quantity, findings that came and went', async () => {
    const first = await submit(sheetWith({ '/runs/0/dischargePressure/reading/value': -3 }))
    const { body: second } = await revise(first.id, sheetWith({ '/runs/0/waterTemperature': undefined }))
    const told = await difference(second.id)
    expect(told).toMatchObject({ from: first.id, to: second.id })
    const temperature = visitSheet.runs[0]!.waterTemperature as unknown as { reading?: object } & Record<
      string,
      unknown
    >
    const gone = told.readings.filter(({ pointer }) => pointer.startsWith('/runs/0/waterTemperature'))
    expect(gone.length).toBeGreaterThan(0)
    for (const change of gone) expect(Object.keys(change)).toEqual(['pointer', 'from'])
    expect(JSON.stringify(temperature)).toContain(JSON.stringify(gone.at(-1)!.from))
    expect(told.readings.filter((change) => !gone.includes(change))).toEqual([
      { pointer: '/runs/0/dischargePressure/reading/value', from: -3, to: 41.5 },
    ])
    expect(told.vanished.map(({ id }) => id)).toContain('discharge-pressure-negative')
    expect(told.appeared.map(({ id }) => id)).not.toContain('discharge-pressure-negative')

    const quantities = new Map(told.results.map((result) => [result.quantity, result]))
    for (const { run, quantity, value, unit, expandedUncertainty } of second.results) {
      const before = first.results.find((one) => one.run === run && one.quantity === quantity)
      const same = before?.value === value && before.expandedUncertainty === expandedUncertainty
      expect(quantities.has(quantity), quantity).toBe(!same)
      if (!same) expect(quantities.get(quantity)!.to).toEqual({ value, unit, expandedUncertainty })
    }
    expect(quantities.get('total-dynamic-head')).toBeDefined()
  })

  test('goes both ways, over several versions, and is empty for the same readings', async () => {
    const first = await submit()
    const { body: second } = await revise(first.id, pressure(43.5))
    const { body: third } = await revise(second.id, visitSheet)
    const empty = { readings: [], results: [], appeared: [], vanished: [] }
    expect(await difference(third.id, `?from=${first.id}`)).toMatchObject(empty)
    const [there, back] = [await difference(second.id), await difference(first.id, `?from=${second.id}`)]
    const place = '/runs/0/dischargePressure/reading/value'
    expect(there.readings).toEqual([{ pointer: place, from: 41.5, to: 43.5 }])
    expect(back.readings).toEqual([{ pointer: place, from: 43.5, to: 41.5 }])
    expect(back.results.map(({ from, to }) => [to, from])).toEqual(there.results.map(({ from, to }) => [from, to]))
  })

  test('is refused of a test without an earlier one, and of tests that are no versions of each other', async () => {
    const [one, other] = [await submit(), await submit()]
    for (const query of ['', `?from=${other.id}`]) {
      expect((await service.call('firmA', `GET /v1/tests/${one.id}/difference${query}`)).status).toBe(409)
    }
  })
})
