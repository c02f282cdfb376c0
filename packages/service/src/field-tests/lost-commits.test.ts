/** The connection to Postgres breaks between a batch and its answer: nothing is doubled, and nothing falsely refused. */
import { randomUUID } from 'node:crypto'
import type { FastifyInstance } from 'fastify'
import { pino } from 'pino'
import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from 'vitest'
import { type Cut, type CuttingProxy, startCuttingProxy } from '../../../../tests/setup/cutting-proxy.ts'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, storedRows, visitSheet } from '../../../../tests/setup/visit.ts'
import { buildApp } from '../app.ts'
import { type Databases, openDatabases } from '../db/database.ts'
import { registerFirm } from '../db/testing.ts'
import { groupWrites } from './group-write.ts'
import type { FieldTest } from './schemas.ts'
import { idempotencyKey, submissionOf } from './testing.ts'

let service: TestService
let proxy: CuttingProxy
/** The same service, on a way to its database that can be cut. */
let databases: Databases
let app: FastifyInstance

beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  const url = new URL(service.databaseUrl)
  proxy = await startCuttingProxy({ host: url.hostname, port: Number(url.port) })
  url.hostname = '127.0.0.1'
  url.port = String(proxy.port)
  const log = pino({ level: 'silent' })
  databases = await openDatabases(url.href, { production: false, log })
  app = await buildApp({ ...service.deps, databases, log })
})
afterEach(() => proxy.block(false))
afterAll(async () => {
  await app.close()
  await databases.close()
  await proxy.close()
  await service.close()
})

async function submit(key: string | undefined) {
  const { statusCode, payload } = await app.inject({
    method: 'POST',
    url: '/v1/tests',
    headers: {
      authorization: `Bearer ${service.keys.firmA}`,
      'content-type': 'application/json',
      ...(key !== undefined && { 'idempotency-key': `"${key}"` }),
    },
    payload: JSON.stringify(visitSheet),
  })
  return { status: statusCode, answer: JSON.parse(payload) as FieldTest & { code?: string } }
}

/** What `work` added. */
async function added(
  work: () => Promise<void>,
): Promise<{ tests: number; entries: number; keys: number; cuts: number }> {
  const before = { ...(await storedRows(service)), cuts: proxy.cuts }
  await work()
  const after = await storedRows(service)
  return {
    tests: after.tests - before.tests,
    entries: after.entries - before.entries,
    keys: after.keys - before.keys,
    cuts: proxy.cuts - before.cuts,
  }
}

describe.each<{ cut: Cut; says: string }>([
  { cut: 'answer', says: 'the answer of a commit that took place' },
  { cut: 'request', says: 'the connection while the server is at work' },
])('losing $says', ({ cut }) => {
  test.each([
    ['with a key', () => randomUUID() as string],
    ['without a key', () => undefined],
  ])('a submission %s is stored once and answered 201', async (_, keyOf) => {
    const rows = await added(async () => {
      for (let turn = 0; turn < 5; turn++) {
        proxy.cutNext(cut)
        const { status, answer } = await submit(keyOf())
        expect(answer.code).toBeUndefined()
        expect(status).toBe(201)
      }
    })
    expect(rows).toMatchObject({ tests: 5, entries: 5, cuts: 5 })
  })

  test('forty that went together are each stored once and answered with their own place', async () => {
    const rows = await added(async () => {
      proxy.cutNext(cut)
      const answers = await Promise.all(
        Array.from({ length: 40 }, (_, place) => submit(place % 4 === 0 ? undefined : randomUUID())),
      )
      expect(new Set(answers.map(({ status }) => status))).toEqual(new Set([201]))
      expect(new Set(answers.map(({ answer }) => answer.ledgerIndex)).size).toBe(40)
      for (const { answer } of answers) {
        const read = await service.call<FieldTest>('firmA', `GET /v1/tests/${answer.id}`)
        expect(read.body).toMatchObject({ id: answer.id, ledgerIndex: answer.ledgerIndex })
      }
    })
    expect(rows).toEqual({ tests: 40, entries: 40, keys: 30, cuts: 1 })
  })
})

describe('where the database stays out of reach', () => {
  test('nothing that was never sent is told as stored: 503, and the same key is stored once when it is back', async () => {
    const key = randomUUID()
    const rows = await added(async () => {
      proxy.block(true)
      const refused = await submit(key)
      expect(refused).toMatchObject({ status: 503, answer: { code: 'database-unavailable' } })
      proxy.block(false)
      expect((await submit(key)).status).toBe(201)
    })
    expect(rows).toMatchObject({ tests: 1, entries: 1, keys: 1 })
  })

  test('a commit whose answer was lost is told as unknown, never as refused; its key finds the one test', async () => {
    const firm = await registerFirm(service.deps.databases)
    const impatient = groupWrites(databases.writer, service.app.ledger, { settleMsMax: 100 })
    const keys = Array.from({ length: 10 }, () => idempotencyKey())
    const rows = await added(async () => {
      proxy.cutNext('answer', true)
      const outcomes = await Promise.allSettled(
        keys.map((key) => impatient.submit(submissionOf(firm, { idempotency: key }))),
      )
      for (const outcome of outcomes) {
        expect(outcome).toMatchObject({ status: 'rejected', reason: { code: 'timeout', status: 504 } })
      }
      proxy.block(false)
      const again = keys.map((key) => impatient.submit(submissionOf(firm, { idempotency: key })))
      expect(await Promise.all(again)).toEqual(keys.map(() => 'taken'))
    })
    expect(rows).toEqual({ tests: 10, entries: 10, keys: 10, cuts: 1 })
  })

  test('without a connection nothing was sent, and that is said: 503', async () => {
    const firm = await registerFirm(service.deps.databases)
    proxy.block(true)
    // What is sent on a connection whose end nobody has noticed yet is another case, told above.
    await vi.waitFor(() => expect(databases.writer.totalCount).toBe(0))
    const refused = groupWrites(databases.writer, service.app.ledger).submit(submissionOf(firm))
    await expect(refused).rejects.toMatchObject({
      code: 'database-unavailable',
      status: 503,
      message: expect.stringContaining('nothing was stored'),
    })
  })
})
