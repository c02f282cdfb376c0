/** What a client may keep and how it asks again; on real operations, and on some made for it. */
import { createHash } from 'node:crypto'
import { gunzipSync } from 'node:zlib'
import { type FastifyInstance, fastify } from 'fastify'
import { afterAll, afterEach, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, visitSheet } from '../../../../tests/setup/visit.ts'
import { entityTag, gzipTag, namedTag, registerCaching } from './caching.ts'

let service: TestService
let plant: string
let testId: string
beforeAll(async () => {
  service = await startTestService()
  const { plantId } = await registerContext(service, 'firmA')
  plant = `/v1/plants/${plantId}`
  testId = (await service.call<{ id: string }>('firmA', 'POST /v1/tests', { body: visitSheet })).body.id
})
afterAll(() => service.close())

/** The bytes as they go over the wire. */
const get = (url: string, headers: Record<string, string> = {}, method: 'GET' | 'HEAD' = 'GET') =>
  service.app.inject({ method, url, headers: { authorization: `Bearer ${service.keys.firmA}`, ...headers } })
const gzip = { 'accept-encoding': 'br, gzip' }

describe('one resource', () => {
  test('has a strong tag made of its bytes, and is not sent again to whom has it', async () => {
    const first = await get(plant)
    const hash = createHash('sha256').update(first.rawPayload).digest().subarray(0, 16).toString('base64url')
    expect(first.headers.etag).toBe(`"${hash}"`)
    expect(first.headers).toMatchObject({
      'cache-control': 'private, no-cache',
      vary: 'accept, accept-encoding, authorization',
    })
    for (const field of [first.headers.etag!, `W/${first.headers.etag}`, `"other", ${first.headers.etag}`, '*']) {
      const again = await get(plant, { 'if-none-match': field })
      expect([again.statusCode, again.payload, again.headers.etag]).toEqual([304, '', first.headers.etag])
      expect(again.headers).toMatchObject({ 'cache-control': 'private, no-cache', vary: first.headers.vary })
      for (const field of ['content-type', 'content-length', 'content-encoding']) {
        expect(again.headers).not.toHaveProperty(field)
      }
    }
  })

  test('is sent to whom has something else', async () => {
    for (const field of ['"other"', '""', 'nonsense', `"${'x'.repeat(5000)}`]) {
      expect((await get(plant, { 'if-none-match': field })).statusCode).toBe(200)
    }
  })

  test('has another tag once it changed, and the same from another process', async () => {
    const equipment = `/v1/plants/${plant.split('/').at(-1)}/equipment`
    const before = await get(`/v1/tests/${testId}`)
    expect((await get(`/v1/tests/${testId}`)).headers.etag).toBe(before.headers.etag)
    expect((await get(equipment)).headers).not.toHaveProperty('etag')
    expect(entityTag('{"a":1}')).not.toBe(entityTag('{"a":2}'))
  })

  test('asked for by HEAD has the tag of GET, its length, and no body', async () => {
    const whole = await get(plant)
    const head = await get(plant, {}, 'HEAD')
    expect([head.statusCode, head.payload]).toEqual([200, ''])
    for (const field of ['etag', 'content-length', 'content-type', 'vary'])
      expect(head.headers[field]).toBe(whole.headers[field])
    const again = await get(plant, { 'if-none-match': whole.headers.etag! }, 'HEAD')
    expect([again.statusCode, again.payload]).toEqual([304, ''])
    expect(again.headers).not.toHaveProperty('content-length')
  })

  test('that is not there or not to be seen has no tag and is not to be kept', async () => {
    const missing = await get('/v1/plants/plt_00000000000000000000000000', { 'if-none-match': '*' })
    expect([missing.statusCode, missing.headers['cache-control']]).toEqual([404, 'no-store'])
    expect(missing.headers).not.toHaveProperty('etag')
  })

  test('asked for again through the client of another firm is not there, whatever tag it names', async () => {
    const { headers } = await get(plant)
    const foreign = await service.call('firmB', `GET ${plant}`, { headers: { 'if-none-match': headers.etag! } })
    expect(foreign.status).toBe(404)
  })
})

describe('a larger answer', () => {
  const url = () => `/v1/tests/${testId}`

  test('comes in gzip to whom takes it, under a tag of its own', async () => {
    const plain = await get(url())
    const zipped = await get(url(), gzip)
    expect(plain.headers).not.toHaveProperty('content-encoding')
    expect(zipped.headers).toMatchObject({
      'content-encoding': 'gzip',
      etag: gzipTag(plain.headers.etag!),
      vary: 'accept, accept-encoding, authorization',
    })
    expect(gunzipSync(zipped.rawPayload)).toEqual(plain.rawPayload)
    expect(zipped.rawPayload.length).toBeLessThan(plain.rawPayload.length / 2)
    for (const headers of [gzip, {}]) {
      const again = await get(url(), { ...headers, 'if-none-match': zipped.headers.etag! })
      expect([again.statusCode, again.headers.etag]).toEqual([304, zipped.headers.etag])
    }
    const head = await get(url(), gzip, 'HEAD')
    expect([head.headers.etag, head.headers['content-length'], head.payload]).toEqual([
      plain.headers.etag,
      plain.headers['content-length'],
      '',
    ])
  })

  test('comes as it is to whom takes other encodings only', async () => {
    for (const encoding of ['br', 'deflate', 'zstd', 'identity', 'gzip;q=0']) {
      expect((await get(url(), { 'accept-encoding': encoding })).headers, encoding).not.toHaveProperty(
        'content-encoding',
      )
    }
  })

  test('of a kilobyte or less is not worth it', async () => {
    const small = await get(plant, gzip)
    expect(small.rawPayload.length).toBeLessThan(1024)
    expect(small.headers).not.toHaveProperty('content-encoding')
  })

  test('about keys never comes in gzip', async () => {
    for (let n = 0; n < 8; n++) {
      const body = { role: 'auditor', name: 'x'.repeat(200) }
      const made = await service.call('admin', 'POST /v1/keys', { body, headers: gzip })
      expect(made.headers).not.toHaveProperty('content-encoding')
    }
    const list = await service.call<{ items: unknown[] }>('admin', 'GET /v1/keys?limit=200', { headers: gzip })
    expect(JSON.stringify(list.body).length).toBeGreaterThan(1024)
    expect(list.headers).not.toHaveProperty('content-encoding')
  })
})

describe('what can never change', () => {
  test('may be kept for a year by the firm whose own it is', async () => {
    for (const rest of ['results', 'trace/lift']) {
      const { headers } = await get(`/v1/tests/${testId}/${rest}`)
      expect(headers['cache-control'], rest).toBe('private, max-age=31536000, immutable')
    }
  })

  test('is asked for again by those whose right to it may end: program and auditor', async () => {
    const given = await service.call('firmA', `POST /v1/tests/${testId}/programs`, {
      body: {
        programId: service.program,
        consent: { givenAt: '2026-05-13T09:30:00-07:00', by: 'grower', evidence: 'CONS-1' },
      },
    })
    expect(given.status).toBe(201)
    for (const caller of ['program', 'auditor'] as const) {
      for (const rest of ['results', 'trace/lift']) {
        const { status, headers } = await service.call(caller, `GET /v1/tests/${testId}/${rest}`)
        expect([status, headers['cache-control']], `${caller} ${rest}`).toEqual([200, 'private, no-cache'])
        const again = await service.call(caller, `GET /v1/tests/${testId}/${rest}`, {
          headers: { 'if-none-match': headers.etag! as string },
        })
        expect(again.status, `${caller} ${rest}`).toBe(304)
      }
    }
  })

  test('is told from what may: a test can be withdrawn, a finding decided upon', async () => {
    for (const rest of ['', '/findings']) {
      expect((await get(`/v1/tests/${testId}${rest}`)).headers['cache-control'], rest).toBe('private, no-cache')
    }
  })

  test('is not kept where it was not found', async () => {
    const { statusCode, headers } = await get(`/v1/tests/${testId}/trace/lift?run=7`)
    expect([statusCode, headers['cache-control']]).toEqual([404, 'no-store'])
  })
})

describe('alone', () => {
  let app: FastifyInstance
  afterEach(() => app.close())

  test('a public answer is for everyone’s cache to ask about, and a failed one has no tag', async () => {
    app = fastify()
    await registerCaching(app)
    const config = { access: 'public' as const }
    app.get('/notice', { config }, async () => 'x'.repeat(5000))
    app.get('/edition', { config: { ...config, immutable: true } }, async () => 'fixed')
    app.get('/teapot', { config }, async (_request, reply) => reply.code(418).send('no'))
    app.post('/notice', { config }, async () => 'made')
    const notice = await app.inject('/notice')
    expect(notice.headers).toMatchObject({ 'cache-control': 'no-cache', vary: 'accept-encoding' })
    expect((await app.inject('/edition')).headers['cache-control']).toBe('max-age=31536000, immutable')
    expect((await app.inject('/teapot')).headers).not.toHaveProperty('etag')
    const post = await app.inject({ method: 'POST', url: '/notice', headers: { 'if-none-match': '*' } })
    expect([post.statusCode, post.payload]).toEqual([200, 'made'])
  })
})

describe('a tag', () => {
  test('is named in either encoding, alone, in a list, weakly, or by a star', () => {
    const tag = entityTag('x')
    for (const field of [tag, ` ${tag} `, `W/${tag}`, `"a",${tag}`, '*']) expect(namedTag(field, tag)).toBe(tag)
    expect(namedTag(`"a", ${gzipTag(tag)}`, tag)).toBe(gzipTag(tag))
    for (const field of [undefined, '', '"a"', tag.slice(1, -1), `"${tag}"x`.replaceAll('"', "'")]) {
      expect(namedTag(field, tag)).toBeUndefined()
    }
  })
})
