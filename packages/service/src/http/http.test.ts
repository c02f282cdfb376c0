/** What every request gets, whatever it asks for; through a socket where it is about sockets. */
import { once } from 'node:events'
import { request as httpRequest } from 'node:http'
import { connect } from 'node:net'
import { text } from 'node:stream/consumers'
import { setTimeout as sleep } from 'node:timers/promises'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { BODY_BYTES_MAX } from './body.ts'
import { PROBLEM_CODES } from './problem.ts'

let service: TestService
let url: string
beforeAll(async () => {
  service = await startTestService()
  url = await service.listen()
})
afterAll(() => service.close())

/** A plant with so much white space before it that the body has this many bytes. */
const padded = (bytes: number): string => JSON.stringify({ code: `PAD-${bytes}`, kind: 'well' }).padStart(bytes, ' ')
const headers = () => ({ authorization: `Bearer ${service.keys.firmA}`, 'content-type': 'application/json' })
const plants = async () => (await service.call<{ items: unknown[] }>('firmA', 'GET /v1/plants')).body.items

async function raw(bytes: string): Promise<string> {
  const socket = connect(Number(new URL(url).port), '127.0.0.1')
  socket.write(bytes)
  return text(socket)
}

describe('a body', () => {
  test.each([
    [
      'a member twice',
      '{"code":"D-1","kind":"well","kind":"booster"}',
      'malformed-json',
      { pointer: '/kind', code: 'duplicate-member' },
    ],
    [
      '1e999',
      '{"code":"D-1","kind":"well","equipment":{"effectiveFrom":"2026-01-01","serviceFactor":1e999}}',
      'number-out-of-range',
      { pointer: '/equipment/serviceFactor' },
    ],
    [
      'a wrong type',
      '{"code":7,"kind":"well"}',
      'invalid-request',
      { pointer: '/code', code: 'wrong-type', allowed: ['string'] },
    ],
    ['a missing member', '{"code":"D-1"}', 'invalid-request', { pointer: '/kind', code: 'missing-member' }],
    [
      'an unknown field',
      '{"code":"D-1","kind":"well","regoin":"x"}',
      'invalid-request',
      { pointer: '/regoin', code: 'unknown-field' },
    ],
    [
      'a value outside a list',
      '{"code":"D-1","kind":"pond"}',
      'invalid-request',
      { pointer: '/kind', allowed: ['well', 'booster'] },
    ],
    ['nothing in it', '', 'invalid-request', { pointer: '', code: 'missing-member' }],
  ])('with %s is refused at its place, and nothing is stored', async (_, body, code, item) => {
    const answer = await service.call('firmA', 'POST /v1/plants', { body })
    expect(answer).toMatchObject({ status: 400, body: { code, errors: [item] } })
    expect(await plants()).toEqual([])
  })

  test('that is not JSON is told where it stops being it', async () => {
    const answer = await service.call('firmA', 'POST /v1/plants', { body: '{"code":"D-1",}' })
    expect(answer).toMatchObject({
      status: 400,
      body: { code: 'malformed-json', detail: expect.stringMatching(/^At byte 14: /) },
    })
  })

  test('of another media type is refused', async () => {
    const answer = await service.call('firmA', 'POST /v1/plants', {
      body: 'code=1',
      headers: { 'content-type': 'text/plain' },
    })
    expect(answer).toMatchObject({ status: 415, body: { code: 'unsupported-media-type' } })
  })

  test('where none is expected is refused', async () => {
    const answer = await service.call('admin', 'POST /v1/keys/000000000000/revocation', { body: {} })
    expect(answer).toMatchObject({ status: 400, body: { code: 'invalid-request' } })
  })

  test('is refused for the key before it is looked at', async () => {
    const answer = await service.call('nobody', 'POST /v1/plants', { body: padded(BODY_BYTES_MAX + 1) })
    expect(answer.status).toBe(401)
  })
})

describe('a large body', () => {
  test('of exactly the limit is taken, one byte more is not', async () => {
    const post = (body: string) => fetch(`${url}/v1/plants`, { method: 'POST', headers: headers(), body })
    expect((await post(padded(BODY_BYTES_MAX))).status).toBe(201)
    const answer = await post(padded(BODY_BYTES_MAX + 1))
    expect(answer.status).toBe(413)
    expect(await answer.json()).toMatchObject({
      code: 'too-large',
      detail: `The body has ${BODY_BYTES_MAX + 1} bytes; at most ${BODY_BYTES_MAX} bytes are taken here.`,
    })
  })

  test.each(['declared', 'chunked'])('of 5 MB, %s, gets its answer on a connection that goes on', async (form) => {
    const socket = connect(Number(new URL(url).port), '127.0.0.1')
    const head = [
      'POST /v1/plants HTTP/1.1',
      'Host: x',
      ...Object.entries(headers()).map(([name, value]) => `${name}: ${value}`),
    ]
    const length = form === 'declared' ? 'content-length: 5000000' : 'transfer-encoding: chunked'
    socket.write([...head, length, '', ''].join('\r\n'))
    const chunk = Buffer.alloc(50_000, ' ')
    // As a client that reads nothing before it has sent everything.
    for (let sent = 0; sent < 100; sent++) {
      if (form === 'chunked') socket.write('c350\r\n')
      const room = socket.write(chunk)
      if (form === 'chunked') socket.write('\r\n')
      if (!room) await once(socket, 'drain')
    }
    if (form === 'chunked') socket.write('0\r\n\r\n')
    socket.write('GET /health/ready HTTP/1.1\r\nHost: x\r\nConnection: close\r\n\r\n')
    const answers = await text(socket)
    expect(answers).toMatch(/^HTTP\/1\.1 413 /)
    expect(answers).toContain(`at most ${BODY_BYTES_MAX} bytes are taken here.`)
    expect(answers).toMatch(/HTTP\/1\.1 200 OK[\s\S]*\{"status":"ok"\}$/)
  })

  test('of 5 MB sent by fetch is told the limit, again and again', async () => {
    for (let round = 0; round < 5; round++) {
      const answer = await fetch(`${url}/v1/plants`, {
        method: 'POST',
        headers: headers(),
        body: ' '.repeat(5_000_000),
      })
      expect(answer.status).toBe(413)
      expect(await answer.json()).toMatchObject({ code: 'too-large' })
    }
  })

  test('cut short is no plant', async () => {
    const before = (await plants()).length
    const request = httpRequest(`${url}/v1/plants`, { method: 'POST', headers: { ...headers(), 'content-length': 60 } })
    request.on('error', () => undefined)
    request.write('{"code":"CUT","kind":"well"}')
    await sleep(50)
    request.destroy()
    expect((await fetch(`${url}/health/live`)).status).toBe(200)
    expect((await plants()).length).toBe(before)
  })
})

describe('an address', () => {
  test('that does not exist is a problem too', async () => {
    const answer = await service.call('nobody', 'GET /v1/nothing')
    expect(answer).toMatchObject({
      status: 404,
      headers: { 'content-type': 'application/problem+json; charset=utf-8' },
      body: { code: 'not-found', instance: '/v1/nothing', type: 'https://liftledger.example/problems/not-found' },
    })
  })

  test.each([
    ['DELETE /v1/plants', 'GET, HEAD, POST'],
    ['PUT /v1/plants/plt_00000000000000000000000000', 'GET, HEAD, PATCH'],
  ] as const)('%s names the methods it offers', async (route, allow) => {
    const answer = await service.call('firmA', route)
    expect(answer).toMatchObject({ status: 405, headers: { allow }, body: { code: 'method-not-allowed' } })
  })

  test('with a broken escape is refused', async () => {
    expect(await service.call('firmA', 'GET /v1/plants/%zz')).toMatchObject({
      status: 400,
      body: { code: 'invalid-request' },
    })
  })

  test('with an id of the wrong kind is not found', async () => {
    for (const id of [service.firmA, 'plt_x', 'plt_', '..%2f..', '%00', 'x'.repeat(99), 'x'.repeat(101)]) {
      const answer = await service.call('firmA', `GET /v1/plants/${id}`)
      expect(answer).toMatchObject({ status: 404, body: { code: 'not-found' } })
    }
  })

  test.each(PROBLEM_CODES)('of the problem %s is a page for people', async (code) => {
    const answer = await service.call<string>('nobody', `GET /problems/${code}`)
    expect(answer.status).toBe(200)
    expect(answer.body).toContain(`<code>${code}</code>`)
  })
})

describe('every answer', () => {
  test('carries the request id it was given, if that is harmless, and security fields', async () => {
    const given = await service.call('nobody', 'GET /health/live', { headers: { 'x-request-id': 'visit-0042-a' } })
    expect(given.headers).toMatchObject({
      'x-request-id': 'visit-0042-a',
      'x-content-type-options': 'nosniff',
      'content-security-policy': "default-src 'none'; frame-ancestors 'none'",
      'referrer-policy': 'no-referrer',
      'cross-origin-resource-policy': 'same-origin',
      'strict-transport-security': 'max-age=31536000',
      'cache-control': 'no-cache',
    })
    const hostile = await service.call('nobody', 'GET /v1/nothing', { headers: { 'x-request-id': 'a b\tc' } })
    expect(hostile.headers['x-request-id']).toMatch(/^[0-9a-f-]{36}$/)
    expect(hostile.body.requestId).toBe(hostile.headers['x-request-id'])
  })

  test('leaves one line in the log: template, status and who, never the address or the body', async () => {
    const before = service.log.length
    await service.call('firmA', 'GET /v1/plants/plt_00000000000000000000000000?x=1')
    const lines = service.log.slice(before).map((line) => JSON.parse(line) as Record<string, unknown>)
    expect(lines).toHaveLength(1)
    expect(lines[0]).toMatchObject({
      method: 'GET',
      route: '/v1/plants/:plantId',
      status: 404,
      code: 'not-found',
      keyId: service.keys.firmA.split('_')[2],
      firm: expect.stringMatching(/^[0-9a-f-]{36}$/),
    })
    expect(JSON.stringify(lines)).not.toContain('plt_0000')
  })
})

describe('a trace of the caller', () => {
  const traceId = '4bf92f3577b34da6a3ce929d0e0e4736'
  const lineOf = async (traceparent: string) => {
    const before = service.log.length
    await service.call('firmA', 'GET /v1/plants', { headers: { traceparent } })
    return JSON.parse(service.log[before]!) as { traceId?: string }
  }

  test('is named in the log line, so that both logs can be laid side by side', async () => {
    expect(await lineOf(`00-${traceId}-00f067aa0ba902b7-01`)).toMatchObject({ traceId })
  })

  test('that is none is not', async () => {
    expect(await lineOf('00-planted')).not.toHaveProperty('traceId')
  })
})

describe('a page of someone else', () => {
  test.each(['OPTIONS', 'TRACE', 'PROPFIND', 'CONNECT'])(
    'gets nothing from %s, and no leave to read',
    async (method) => {
      if (method === 'CONNECT') return expect(await raw('CONNECT /v1/plants HTTP/1.1\r\nHost: x\r\n\r\n')).toBe('')
      const answer = await raw(
        `${method} /v1/plants HTTP/1.1\r\nHost: x\r\nOrigin: https://other.example\r\n` +
          'Access-Control-Request-Method: GET\r\nX-Planted: planted\r\nConnection: close\r\n\r\n',
      )
      expect(answer).toMatch(/^HTTP\/1\.1 405 /)
      expect(answer).toMatch(/\r\nallow: GET, HEAD, POST\r\n/i)
      expect(answer).not.toMatch(/access-control-/i)
      expect(answer).not.toContain('planted')
    },
  )

  test('gets no leave from any answer', async () => {
    const origin = { origin: 'https://other.example' }
    for (const route of ['GET /health/live', 'GET /v1/plants', 'GET /openapi.json'] as const) {
      const { headers } = await service.call('firmA', route, { headers: origin })
      expect(Object.keys(headers).filter((name) => name.startsWith('access-control-'))).toEqual([])
    }
  })
})

describe('what is not HTTP', () => {
  test('gets a problem too', async () => {
    const answer = await raw('HELLO\r\n\r\n')
    expect(answer).toMatch(/^HTTP\/1\.1 400 Bad Request\r\nContent-Type: application\/problem\+json\r\n/)
    expect(JSON.parse(answer.split('\r\n\r\n')[1]!)).toMatchObject({ code: 'malformed-http', status: 400 })
  })

  test('or has too large header fields gets 431', async () => {
    const answer = await raw(`GET /health/live HTTP/1.1\r\nHost: x\r\nX-Long: ${'x'.repeat(20_000)}\r\n\r\n`)
    expect(answer).toMatch(/^HTTP\/1\.1 431 /)
    expect(JSON.parse(answer.split('\r\n\r\n')[1]!)).toMatchObject({ code: 'headers-too-large' })
  })

  test.each([
    ['two lengths', 'Content-Length: 5\r\nContent-Length: 6\r\n\r\nhello'],
    ['a length and chunks', 'Content-Length: 5\r\nTransfer-Encoding: chunked\r\n\r\n0\r\n\r\n'],
  ])('or has %s is refused', async (_, rest) => {
    const answer = await raw(`POST /v1/plants HTTP/1.1\r\nHost: x\r\nContent-Type: application/json\r\n${rest}`)
    expect(answer).toMatch(/^HTTP\/1\.1 400 /)
  })
})

describe('health', () => {
  test('is ready until the process is told to stop, and alive even then', async () => {
    expect((await service.call('nobody', 'GET /health/ready')).status).toBe(200)
    service.app.lifecycle.stopping = true
    expect(await service.call('nobody', 'GET /health/ready')).toMatchObject({ status: 503, body: { code: 'stopping' } })
    expect((await service.call('nobody', 'GET /health/live')).status).toBe(200)
    service.app.lifecycle.stopping = false
  })
})
