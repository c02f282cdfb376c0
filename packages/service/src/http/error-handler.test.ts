import { type FastifyInstance, fastify } from 'fastify'
import pg from 'pg'
import { afterEach, describe, expect, test } from 'vitest'
import { registerAuth } from './auth.ts'
import { registerBody } from './body.ts'
import { databaseFailure } from './database-failure.ts'
import { registerErrorHandler } from './error-handler.ts'
import { LateCompiling } from './late-compiling.ts'
import { registerOpenApi } from './openapi.ts'
import { Problem } from './problem.ts'

const site = { publicUrl: 'https://liftledger.example' }
const open = { access: 'public' } as const
const nobody = { authenticate: async () => undefined, isFamiliar: () => false }

let app: FastifyInstance
afterEach(() => app.close())

function withErrorHandler(): FastifyInstance {
  app = fastify({ genReqId: () => 'request-1' })
  registerErrorHandler(app, site)
  return app
}

describe('what goes wrong', () => {
  test('unexpectedly leaves the process as an id and nothing else', async () => {
    withErrorHandler().get('/boom', { config: open }, async () => {
      throw new Error('relation "api_key" violates something at /srv/app/x.ts')
    })
    const answer = await app.inject('/boom')
    expect(answer.statusCode).toBe(500)
    expect(answer.headers['content-type']).toBe('application/problem+json; charset=utf-8')
    expect(answer.json()).toEqual({
      type: 'https://liftledger.example/problems/internal',
      title: 'Something went wrong on our side',
      status: 500,
      code: 'internal',
      detail: 'The request could not be carried out. Its id helps to find out why.',
      instance: '/boom',
      requestId: 'request-1',
    })
  })

  test('expectedly is told as it was thrown', async () => {
    withErrorHandler().get('/later', { config: open }, async () => {
      throw new Problem('overloaded', 'Too much.', { retryAfterS: 0.2, headers: { 'x-why': 'queue' } })
    })
    const answer = await app.inject('/later?secret=1')
    expect(answer.statusCode).toBe(503)
    expect(answer.headers).toMatchObject({ 'retry-after': '1', 'x-why': 'queue', 'cache-control': 'no-store' })
    expect(answer.json()).toMatchObject({ detail: 'Too much.', retryAfterS: 0.2, instance: '/later' })
  })

  test('with a thrown thing that is no error is still an answer', async () => {
    withErrorHandler().get('/odd', { config: open }, async () => {
      throw { statusCode: 418, message: 'no error at all' }
    })
    expect((await app.inject('/odd')).json()).toMatchObject({ status: 500, code: 'internal' })
  })

  test('in an answer that does not fit its schema is an internal problem, not a broken answer', async () => {
    const response = { 200: { type: 'object', required: ['a'], properties: { a: { type: 'integer' } } } }
    withErrorHandler().get('/shape', { config: open, schema: { response } }, async () => ({}))
    expect((await app.inject('/shape')).json()).toMatchObject({ status: 500, code: 'internal' })
  })
})

describe('the database', () => {
  test('that can not be reached is told as such', async () => {
    withErrorHandler().get('/db', { config: open }, async () => {
      // Port 1 is reserved and closed.
      await new pg.Client({ host: '127.0.0.1', port: 1, password: 'secret-word' }).connect()
    })
    const answer = await app.inject('/db')
    expect(answer.json()).toMatchObject({ status: 503, code: 'database-unavailable', retryAfterS: 1 })
    expect(answer.headers['retry-after']).toBe('1')
    expect(answer.body).not.toContain('secret-word')
  })

  test.each([
    [Object.assign(new Error('x'), { code: '57P01' }), 'database-unavailable'],
    [Object.assign(new Error('x'), { code: '08006' }), 'database-unavailable'],
    [new Error('Connection terminated unexpectedly'), 'database-unavailable'],
    [new AggregateError([Object.assign(new Error('x'), { code: 'ECONNREFUSED' })]), 'database-unavailable'],
    [Object.assign(new Error('x'), { code: '57014' }), 'timeout'],
    [new Error('Query read timeout'), 'timeout'],
    [Object.assign(new Error('x'), { code: '40001' }), 'overloaded'],
    [Object.assign(new Error('x'), { code: '23505' }), undefined],
    [new Error('something else'), undefined],
    ['a text', undefined],
  ])('failing with %s is %s', (error, code) => {
    withErrorHandler()
    expect(databaseFailure(error)?.code).toBe(code)
  })
})

describe('a route', () => {
  test('that does not say who may call it fails at start', () => {
    registerAuth(withErrorHandler(), nobody)
    expect(() => app.get('/v1/things', {}, async () => 'x')).toThrow('Route GET /v1/things must declare config.access.')
  })

  test('that asks for a scope its role can never have fails at start', () => {
    registerAuth(withErrorHandler(), nobody)
    const config = { access: { roles: ['auditor'], scope: 'keys:write' } } as const
    expect(() => app.get('/v1/things', { config }, async () => 'x')).toThrow(
      "role auditor can't have the scope keys:write",
    )
  })

  test('with a body schema that the validator does not understand fails before anybody needs it', () => {
    const compiling = new LateCompiling()
    registerBody(withErrorHandler(), compiling)
    const schema = { body: { type: 'object', properties: { a: { type: 'number', minimun: 1 } } } }
    app.post('/v1/things', { config: open, schema }, async () => 'x')
    expect(() => {
      while (compiling.next());
    }).toThrow(/minimun/)
  })

  test.each([
    [undefined, 'needs an operationId'],
    ['listThings', 'must be written noun.verb'],
  ])('with the operationId %s fails at start', async (operationId, message) => {
    await registerOpenApi(withErrorHandler(), '0')
    const schema = operationId === undefined ? {} : { operationId }
    expect(() => app.get('/v1/things', { config: open, schema }, async () => 'x')).toThrow(message)
  })

  test('with an operationId that another one has fails at start', async () => {
    await registerOpenApi(withErrorHandler(), '0')
    const route = { config: open, schema: { operationId: 'things.list' } }
    app.get('/v1/things', route, async () => 'x')
    expect(() => app.get('/v1/others', route, async () => 'x')).toThrow('used twice')
  })
})
