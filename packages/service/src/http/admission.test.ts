/** What is refused so that the rest ends well. */
import { once } from 'node:events'
import { type ClientRequest, request as httpRequest, type IncomingMessage } from 'node:http'
import { json } from 'node:stream/consumers'
import { type FastifyInstance, fastify } from 'fastify'
import { afterAll, afterEach, beforeAll, describe, expect, test, vi } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, visitSheet } from '../../../../tests/setup/visit.ts'
import { QueueAge, registerAdmission } from './admission.ts'
import { registerErrorHandler } from './error-handler.ts'
import { watchEventLoop } from './event-loop.ts'

const BODY = JSON.stringify(visitSheet)

describe('a service that takes three sheets at once', () => {
  let service: TestService
  let url: string
  beforeAll(async () => {
    service = await startTestService({ IN_FLIGHT_MAX: '3' })
    await registerContext(service, 'firmA')
    url = await service.listen()
  })
  afterAll(() => service.close())

  /** A submission whose body is held back. */
  function begin(): ClientRequest {
    const request = httpRequest(`${url}/v1/tests`, {
      method: 'POST',
      headers: {
        authorization: `Bearer ${service.keys.firmA}`,
        'content-type': 'application/json',
        'content-length': Buffer.byteLength(BODY),
      },
    })
    request.flushHeaders()
    return request
  }
  async function answer(request: ClientRequest): Promise<{ status: number; headers: object; body: { code?: string } }> {
    const [response] = (await once(request, 'response')) as [IncomingMessage]
    return {
      status: response.statusCode!,
      headers: response.headers,
      body: (await json(response)) as { code?: string },
    }
  }
  const inFlight = (n: number) => vi.waitFor(() => expect(service.app.admission.inFlight).toBe(n), { timeout: 10_000 })
  const stored = async () =>
    (await service.call<{ items: unknown[] }>('firmA', 'GET /v1/tests?limit=200')).body.items.length

  test('refuses the fourth before its body, and answers the three', async () => {
    const admitted = [begin(), begin(), begin()]
    await inFlight(3)
    const before = performance.now()
    const refused = Array.from({ length: 20 }, begin)
    const shed = await Promise.all(refused.map(answer))
    for (const request of refused) request.destroy()
    expect((performance.now() - before) / 20).toBeLessThan(50)
    for (const { status, headers, body } of shed) {
      expect([status, body.code]).toEqual([503, 'overloaded'])
      expect(headers).toMatchObject({ 'retry-after': '1', 'cache-control': 'no-store' })
    }
    // What is no sheet goes on.
    expect((await service.call('firmA', 'GET /v1/plants')).status).toBe(200)
    expect((await service.call('admin', 'GET /v1/firms')).status).toBe(200)
    const waiting = admitted.map(answer)
    for (const request of admitted) request.end(BODY)
    expect((await Promise.all(waiting)).map(({ status }) => status)).toEqual([201, 201, 201])
    await inFlight(0)
    expect(await stored()).toBe(3)
  })

  test('gives the place of a caller who went away to the next', async () => {
    const before = await stored()
    const gone = [begin(), begin(), begin()]
    for (const request of gone) request.on('error', () => undefined)
    await inFlight(3)
    for (const request of gone) request.destroy()
    await inFlight(0)
    const next = begin()
    const waiting = answer(next)
    next.end(BODY)
    expect((await waiting).status).toBe(201)
    expect(await stored()).toBe(before + 1)
  })

  test('answers all that it admits out of many at once, and stores exactly those', async () => {
    const before = await stored()
    const headers = { authorization: `Bearer ${service.keys.firmA}`, 'content-type': 'application/json' }
    const answers = await Promise.all(
      Array.from(
        { length: 60 },
        async () => (await fetch(`${url}/v1/tests`, { method: 'POST', headers, body: BODY })).status,
      ),
    )
    const created = answers.filter((status) => status === 201).length
    expect(created).toBeGreaterThanOrEqual(3)
    expect(answers.filter((status) => status === 503)).toHaveLength(60 - created)
    expect(await stored()).toBe(before + created)
    await inFlight(0)
  })
})

describe('a late event loop', () => {
  let app: FastifyInstance
  const loop = { p99Ms: 0 }
  afterEach(() => app.close())

  function withRoutes(): FastifyInstance {
    app = fastify()
    registerErrorHandler(app, { publicUrl: 'https://liftledger.example' })
    registerAdmission(app, { inFlightMax: 0, eventLoopDelayMsMax: 200, queueAgeMsMax: 0 }, loop)
    app.get('/health', { config: { access: 'public' } }, async () => 'ok')
    app.get('/read', { config: { access: { roles: ['firm', 'admin'], scope: 'plants:read' } } }, async () => 'ok')
    app.post('/revoke', { config: { access: { roles: ['admin'], scope: 'keys:write' } } }, async () => 'ok')
    return app
  }

  test('refuses everything but health and what ends a key, until it is on time again', async () => {
    withRoutes()
    const statuses = async () =>
      Promise.all(
        (['GET /health', 'GET /read', 'POST /revoke', 'GET /nowhere'] as const).map(async (route) => {
          const [method, url] = route.split(' ') as ['GET' | 'POST', string]
          return (await app.inject({ method, url })).statusCode
        }),
      )
    loop.p99Ms = 200
    expect(await statuses()).toEqual([200, 200, 200, 404])
    loop.p99Ms = 201
    expect(await statuses()).toEqual([200, 503, 200, 404])
    loop.p99Ms = 5
    expect(await statuses()).toEqual([200, 200, 200, 404])
  })

  test('is seen by whom watches it', async () => {
    withRoutes()
    const watch = watchEventLoop()
    const block = setInterval(() => {
      const until = performance.now() + 40
      while (performance.now() < until);
    }, 45)
    await vi.waitFor(() => expect(watch.p99Ms).toBeGreaterThan(20), { timeout: 10_000, interval: 100 })
    clearInterval(block)
    watch.stop()
  })
})

describe('the age of the queue', () => {
  /** Sheets that end in one second, each after some time. */
  function second(queue: QueueAge, atMs: number, spent: readonly number[]): void {
    spent.forEach((ms, n) => {
      queue.left(atMs + n, ms)
    })
  }

  test('is the time of the fastest of many', () => {
    const queue = new QueueAge()
    second(queue, 10_000, [900, 310, 400, 500, 600, 700, 800, 900])
    expect(queue.ageMs(10_500)).toBe(0)
    expect(queue.ageMs(11_000)).toBe(310)
    second(queue, 11_100, [900, 300, 4, 900, 900, 900, 900, 900, 900])
    expect(queue.ageMs(12_100)).toBe(4)
  })

  test('is nothing where few came, or none for a while', () => {
    const queue = new QueueAge()
    second(queue, 10_000, [900, 900, 900, 900, 900, 900, 900])
    expect(queue.ageMs(11_050)).toBe(0)
    second(
      queue,
      12_000,
      Array.from({ length: 20 }, () => 900),
    )
    expect(queue.ageMs(14_100)).toBe(0)
  })

  test('refuses sheets before they are read, and takes them again when it is over', async () => {
    const app = fastify()
    registerErrorHandler(app, { publicUrl: 'https://liftledger.example' })
    registerAdmission(app, { inFlightMax: 0, eventLoopDelayMsMax: 0, queueAgeMsMax: 30 }, { p99Ms: 0 })
    let slowMs = 60
    app.post(
      '/sheets',
      { config: { access: { roles: ['firm'], scope: 'tests:write' }, sheet: true } },
      async () => new Promise((resolve) => setTimeout(resolve, slowMs, 'ok')),
    )
    const post = async () => (await app.inject({ method: 'POST', url: '/sheets' })).statusCode
    const crowd = () => Promise.all(Array.from({ length: 10 }, post))
    await vi.waitFor(async () => expect(await crowd()).toContain(503), { timeout: 10_000, interval: 20 })
    expect(app.admission.queueAgeMs).toBeGreaterThan(30)
    slowMs = 0
    await vi.waitFor(async () => expect(new Set(await crowd())).toEqual(new Set([200])), {
      timeout: 10_000,
      interval: 50,
    })
    await app.close()
  })
})
