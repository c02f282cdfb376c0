/** The same submission sent more than once: one test, and the same answer to the byte. */
import type { FastifyInstance } from 'fastify'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, sheetWith, storedRows, visitContext, visitSheet } from '../../../../tests/setup/visit.ts'
import { buildApp } from '../app.ts'
import { openDatabases } from '../db/database.ts'
import { onConnection } from '../db/testing.ts'
import type { FieldTest } from './schemas.ts'

let service: TestService
let other: { app: FastifyInstance; close(): Promise<void> }
let plantId: string

beforeAll(async () => {
  service = await startTestService()
  ;({ plantId } = await registerContext(service, 'firmA'))
  other = await anotherProcess()
})
afterAll(async () => {
  await other.close()
  await service.close()
})

/** A second application with pools of its own on the same database, as a second process would have. */
async function anotherProcess(): Promise<typeof other> {
  const { databaseUrl, deps } = service
  const databases = await openDatabases(databaseUrl, { production: false, log: deps.log })
  const app = await buildApp({ ...deps, databases })
  const close = async () => {
    await app.close()
    await databases.close()
  }
  return { app, close }
}

const BODY = JSON.stringify(visitSheet)

/** The answer as it goes over the wire. */
async function submit(app: FastifyInstance, key: string | undefined, body = BODY, apiKey = service.keys.firmA) {
  const { statusCode, headers, payload } = await app.inject({
    method: 'POST',
    url: '/v1/tests',
    headers: {
      authorization: `Bearer ${apiKey}`,
      'content-type': 'application/json',
      ...(key !== undefined && { 'idempotency-key': key }),
    },
    payload: body,
  })
  return { status: statusCode, location: headers.location, replayed: headers['idempotent-replayed'], payload }
}

const idOf = (payload: string): string => (JSON.parse(payload) as FieldTest).id

describe('the same key and bytes again', () => {
  test('are answered with the same status, body and location, and marked; there is one row', async () => {
    const before = await storedRows(service)
    const first = await submit(service.app, '"visit-1"')
    expect(first).toMatchObject({ status: 201, replayed: undefined })
    expect(await submit(service.app, '"visit-1"')).toEqual({ ...first, replayed: 'true' })
    const after = await storedRows(service)
    expect(after).toMatchObject({
      tests: before.tests + 1,
      entries: before.entries + 1,
      keys: before.keys + 1,
    })
  })

  test('are the same whether the key is written in quotes or bare', async () => {
    const first = await submit(service.app, '"visit-2"')
    expect(await submit(service.app, 'visit-2')).toEqual({ ...first, replayed: 'true' })
  })

  test('are answered by another process, as after a restart', async () => {
    const first = await submit(service.app, '"visit-3"')
    expect(await submit(other.app, '"visit-3"')).toEqual({ ...first, replayed: 'true' })
  })

  test('are answered after the registry has moved on', async () => {
    const first = await submit(service.app, '"visit-4"')
    const { status } = await service.call('firmA', `POST /v1/plants/${plantId}/equipment`, {
      body: { effectiveFrom: '2026-01-01', meterMultiplier: 80 },
    })
    expect(status).toBe(201)
    expect(await submit(service.app, '"visit-4"')).toEqual({ ...first, replayed: 'true' })
  })

  test('are answered after access to the plant was taken away', async () => {
    const grant = await service.call('admin', `POST /v1/plants/${plantId}/access`, { body: { firmId: service.firmB } })
    expect(grant.status).toBe(201)
    await service.call('firmB', 'POST /v1/testers', { body: visitContext.tester })
    const body = JSON.stringify(sheetWith({ '/instruments': undefined }))
    const first = await submit(service.app, '"visit-5"', body, service.keys.firmB)
    expect(first.status).toBe(201)
    await onConnection(service.databaseUrl, undefined, async (client) => {
      // Nobody can do this through the service: the test's own reference to the access would stop it.
      await client.query('set session_replication_role = replica')
      const { rowCount } = await client.query(
        'delete from ll.firm_plant where firm_id <> (select registered_by from ll.plant)',
      )
      expect(rowCount).toBe(1)
    })
    const plants = await service.call<{ items: unknown[] }>('firmB', 'GET /v1/plants')
    expect(plants.body.items).toEqual([])
    expect(await submit(service.app, '"visit-6"', body, service.keys.firmB)).toMatchObject({ status: 422 })
    expect(await submit(service.app, '"visit-5"', body, service.keys.firmB)).toEqual({ ...first, replayed: 'true' })
  })
})

describe('a key that was used before', () => {
  test('for other bytes is refused, even where only a space was added, and nothing is stored', async () => {
    const first = await submit(service.app, '"visit-7"')
    const before = await storedRows(service)
    for (const [app, body] of [
      [service.app, `${BODY} `],
      [other.app, JSON.stringify(sheetWith({ '/runs/0/dischargePressure/reading/value': 46.5 }))],
    ] as const) {
      const refused = await submit(app, '"visit-7"', body)
      expect(refused.status).toBe(422)
      expect(JSON.parse(refused.payload)).toMatchObject({ code: 'idempotency-key-reused' })
    }
    expect(await storedRows(service)).toEqual(before)
    expect((await submit(service.app, '"visit-7"')).payload).toBe(first.payload)
  })

  test('by another firm is another key', async () => {
    await submit(service.app, '"visit-8"')
    // Firm B has no such plant: it gets its own answer, and not that of firm A.
    const answer = await submit(service.app, '"visit-8"', BODY, service.keys.firmB)
    expect(JSON.parse(answer.payload)).toMatchObject({ status: 422, code: 'reference-not-found' })
  })

  test('for a submission that was refused is free', async () => {
    const refused = await submit(service.app, '"visit-9"', JSON.stringify(sheetWith({ '/plant': 'AM-99' })))
    expect(refused.status).toBe(422)
    expect(await submit(service.app, '"visit-9"')).toMatchObject({ status: 201, replayed: undefined })
  })
})

test('without a key, two equal submissions are two tests', async () => {
  const [first, second] = [await submit(service.app, undefined), await submit(service.app, undefined)]
  expect([first.status, second.status]).toEqual([201, 201])
  expect(idOf(first.payload)).not.toBe(idOf(second.payload))
  expect([first.replayed, second.replayed]).toEqual([undefined, undefined])
})

describe('twenty at once with one key', () => {
  test.each([
    ['in one process', () => [service.app]],
    ['in two processes', () => [service.app, other.app]],
  ])('%s store one test and get twenty equal answers', async (where, apps) => {
    const before = await storedRows(service)
    const answers = await Promise.all(
      Array.from({ length: 20 }, (_, n) => submit(apps()[n % apps().length]!, `"twenty ${where}"`)),
    )
    expect(new Set(answers.map(({ status, location, payload }) => `${status} ${location} ${payload}`)).size).toBe(1)
    expect(answers[0]!.status).toBe(201)
    expect(answers.filter(({ replayed }) => replayed === undefined)).toHaveLength(1)
    expect(await storedRows(service)).toMatchObject({ tests: before.tests + 1, entries: before.entries + 1 })
  })

  test('and as many other bytes: those who come second are refused', async () => {
    const before = await storedRows(service)
    const answers = await Promise.all(
      Array.from({ length: 20 }, (_, n) =>
        submit(n % 4 < 2 ? service.app : other.app, '"contested"', n % 2 === 0 ? BODY : ` ${BODY}`),
      ),
    )
    const kept = answers.filter(({ status }) => status === 201)
    expect(kept).toHaveLength(10)
    expect(new Set(kept.map(({ payload }) => payload)).size).toBe(1)
    expect(answers.filter(({ status }) => status === 422)).toHaveLength(10)
    expect((await storedRows(service)).tests).toBe(before.tests + 1)
  })
})
