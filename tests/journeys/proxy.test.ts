/** A firm's software submits through a connection that fails in every way: each test is stored once, and answered. */
import { sounded } from '@liftledger/calc/testing'
import { Liftledger } from '@liftledger/sdk'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import {
  badGateway,
  cutAtOnce,
  cutBefore,
  cutHalfWay,
  good,
  loseAnswer,
  type Mood,
  type MoodyProxy,
  refuse,
  slow,
  startProxy,
} from '../setup/proxy.ts'
import { startTestService, type TestService } from '../setup/service.ts'
import { registerContext, sheetWith, storedRows, visitSheet } from '../setup/visit.ts'

const PER_TRY_MS = 1_500

let service: TestService
let url: string
let direct: Liftledger
let proxy: MoodyProxy | undefined
beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  url = await service.listen()
  direct = new Liftledger({ baseUrl: url, apiKey: service.keys.firmA })
})
afterAll(() => service.close())
afterEach(async () => {
  await proxy?.settle()
  await proxy?.close()
})

/** A client behind a proxy of these moods. It writes down how long it would wait, and waits a hundredth of it. */
async function through(moods: readonly Mood[]) {
  const opened = await startProxy(url, moods)
  proxy = opened
  const waits: number[] = []
  const sleep = async (ms: number) => {
    waits.push(ms)
    await new Promise((resolve) => setTimeout(resolve, ms / 100))
  }
  const client = new Liftledger({
    baseUrl: opened.url,
    apiKey: service.keys.firmA,
    timeoutMs: PER_TRY_MS,
    clock: { now: Date.now, random: () => 1, sleep },
  })
  return { client, waits, proxy: opened }
}

/** Submits the visit through the moods; the test must be there once, and be the one that was answered. */
async function expectStoredOnce(moods: readonly Mood[]) {
  const before = await storedRows(service)
  const { client, waits, proxy } = await through(moods)
  const { data, replayed } = await client.tests.submit(visitSheet).withResponse()
  await proxy.settle()
  const after = await storedRows(service)
  expect(after.tests - before.tests).toBe(1)
  expect(after.entries - before.entries).toBe(1)
  expect(after.keys - before.keys).toBe(1)
  expect(await direct.tests.get(data.id)).toEqual(data)
  expect(new Set(proxy.keys).size).toBe(1)
  expect(proxy.keys[0]).toMatch(/^"[0-9a-f-]{36}"$/)
  return { waits, replayed, tries: proxy.keys.length, reached: proxy.passed.length }
}

describe('one test is stored, and answered, when', () => {
  test('nothing fails', async () => {
    expect(await expectStoredOnce([])).toEqual({ waits: [], replayed: false, tries: 1, reached: 1 })
  })

  test('429 with Retry-After comes first', async () => {
    const { waits, ...rest } = await expectStoredOnce([refuse(429, 7), refuse(429, 3)])
    expect(waits).toEqual([7_000, 3_000])
    expect(rest).toEqual({ replayed: false, tries: 3, reached: 1 })
  })

  test('503 comes first', async () => {
    const { waits, ...rest } = await expectStoredOnce([refuse(503, 2), refuse(503, 0)])
    expect(waits).toEqual([2_000, 1_000])
    expect(rest).toEqual({ replayed: false, tries: 3, reached: 1 })
  })

  test('the connection is cut before the request arrives', async () => {
    expect(await expectStoredOnce([cutBefore])).toMatchObject({ replayed: false, tries: 2, reached: 1 })
  })

  test('the connection is cut after the request was sent, and the answer is lost', async () => {
    expect(await expectStoredOnce([loseAnswer, loseAnswer])).toMatchObject({ replayed: true, tries: 3, reached: 3 })
  })

  test('the connection is cut while the service is still at work', async () => {
    expect(await expectStoredOnce([cutAtOnce, cutAtOnce])).toMatchObject({ tries: 3, reached: 3 })
  })

  test('the answer is cut in the middle', async () => {
    expect(await expectStoredOnce([cutHalfWay, cutHalfWay])).toMatchObject({ replayed: true, tries: 3, reached: 3 })
  })

  test('the answer comes after the time for one try', async () => {
    expect(await expectStoredOnce([slow(PER_TRY_MS + 500)])).toMatchObject({ replayed: true, tries: 2, reached: 2 })
  })

  test('a gateway doesn’t know what became of it', async () => {
    expect(await expectStoredOnce([badGateway(502), badGateway(504)])).toMatchObject({ replayed: true, tries: 3 })
  })

  test('all of it happens to one submission', async () => {
    expect(await expectStoredOnce([refuse(429, 1), loseAnswer, cutHalfWay])).toMatchObject({ tries: 4, replayed: true })
  })
})

test('a program that repeats without a key stores two, and these tests would see it', async () => {
  const before = await storedRows(service)
  const { proxy } = await through([loseAnswer])
  const headers = { authorization: `Bearer ${service.keys.firmA}`, 'content-type': 'application/json' }
  const send = () => fetch(`${proxy.url}/v1/tests`, { method: 'POST', headers, body: JSON.stringify(visitSheet) })
  await expect(send()).rejects.toThrow()
  expect((await send()).status).toBe(201)
  expect((await storedRows(service)).tests - before.tests).toBe(2)
})

test('when all tries fail the error has the key, and the same bytes with it answer the test that was stored', async () => {
  const before = await storedRows(service)
  const { client } = await through([loseAnswer, loseAnswer, loseAnswer, loseAnswer])
  const error = await client.tests.submit(visitSheet).catch((caught: unknown) => caught)
  expect(error).toMatchObject({ name: 'ConnectionError', tries: 4, idempotencyKey: expect.any(String) })
  const { idempotencyKey } = error as { idempotencyKey: string }
  const { data, replayed } = await client.tests.submit(visitSheet, { idempotencyKey }).withResponse()
  expect(replayed).toBe(true)
  expect((await storedRows(service)).tests - before.tests).toBe(1)
  expect(await direct.tests.get(data.id)).toEqual(data)
})

/** Every mood in turn, so that each submission meets others on its way. */
const ALL: readonly Mood[] = [
  refuse(429, 1),
  loseAnswer,
  good,
  cutHalfWay,
  refuse(503, 1),
  cutAtOnce,
  cutBefore,
  badGateway(502),
]
const STORM: readonly Mood[] = Array.from({ length: 40 }, (_, n) => ALL[(n * 5 + Math.floor(n / 8)) % ALL.length]!)

test('twenty at once through all of it are twenty tests, each answered to its own caller', async () => {
  const before = await storedRows(service)
  const { client, proxy } = await through(STORM)
  const sheets = Array.from({ length: 20 }, (_, n) => sheetWith({ '/standingLevel/reading/value': 118 + n / 100 }))
  const tests = await Promise.all(sheets.map((sheet) => client.tests.submit(sheet, { retries: 10 })))
  await proxy.settle()
  const after = await storedRows(service)
  expect(new Set(tests.map(({ id }) => id)).size).toBe(20)
  expect(after.tests - before.tests).toBe(20)
  expect(after.entries - before.entries).toBe(20)
  expect(proxy.keys.length).toBeGreaterThan(40)
  const standing = await Promise.all(tests.map(({ id }) => direct.tests.trace(id, 'drawdown')))
  const read = standing.map(
    ({ nodes }) => nodes.find((node) => node.reading?.place === '/standingLevel/reading')?.reading,
  )
  expect(read.map((reading) => reading?.value)).toEqual(
    sheets.map((sheet) => sounded(sheet.standingLevel).reading.value),
  )
})

test('twenty at once under one key are one test, through all of it', async () => {
  const before = await storedRows(service)
  const { client, proxy } = await through(STORM)
  const options = { retries: 10, idempotencyKey: 'visit-17:one' }
  const tests = await Promise.all(Array.from({ length: 20 }, () => client.tests.submit(visitSheet, options)))
  await proxy.settle()
  expect(new Set(tests.map(({ id }) => id)).size).toBe(1)
  expect((await storedRows(service)).tests - before.tests).toBe(1)
})
