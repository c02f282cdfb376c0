import type { FastifyInstance } from 'fastify'
import { fastify } from 'fastify'
import { Type } from 'typebox'
import { afterEach, describe, expect, test } from 'vitest'
import { type Deprecated, registerDeprecation } from './deprecation.ts'
import { registerOpenApi } from './openapi.ts'

let app: FastifyInstance
afterEach(() => app.close())

/** An app with one operation on its way out, whose answer names a next page where asked to. */
async function withOperation(deprecated?: Deprecated): Promise<FastifyInstance> {
  app = fastify()
  registerDeprecation(app)
  await registerOpenApi(app, '0')
  const config = { access: 'public' as const, ...(deprecated && { deprecated }) }
  const schema = { operationId: 'wells.list', response: { 200: Type.Object({}, { title: 'Well' }) } }
  app.get('/v1/wells', { config, schema }, async (request, reply) => {
    if (request.url.includes('?')) reply.header('link', '</v1/wells?cursor=x>; rel="next"')
    return {}
  })
  return app
}

const leaving = { since: '2027-01-31', sunset: '2028-02-01', successor: '/v1/plants' }

describe('a deprecated operation', () => {
  test('says since when, until when, and where to go', async () => {
    const { headers } = await (await withOperation(leaving)).inject('/v1/wells')
    // Unix seconds of 2027-01-31: 20,850 days and 24 hours each.
    expect(headers).toMatchObject({
      deprecation: `@${Date.UTC(2027, 0, 31) / 1000}`,
      sunset: 'Tue, 01 Feb 2028 00:00:00 GMT',
      link: '</v1/plants>; rel="successor-version"',
    })
  })

  test('keeps the link to the next page', async () => {
    const { headers } = await (await withOperation(leaving)).inject('/v1/wells?limit=1')
    expect(headers.link).toBe('</v1/wells?cursor=x>; rel="next", </v1/plants>; rel="successor-version"')
  })

  test('need not say when it ends', async () => {
    const { headers } = await (await withOperation({ since: '2027-01-31' })).inject('/v1/wells')
    expect(headers.deprecation).toMatch(/^@\d+$/)
    expect(headers).not.toHaveProperty('sunset')
    expect(headers).not.toHaveProperty('link')
  })

  test('is marked in the API description; others are not', async () => {
    const operationOf = async (deprecated?: Deprecated) => {
      const { paths } = await (await withOperation(deprecated)).apiDocument()
      await app.close()
      return (paths as Record<string, Record<string, object>>)['/v1/wells']!.get
    }
    expect(await operationOf(leaving)).toMatchObject({ operationId: 'wells.list', deprecated: true })
    expect(await operationOf()).not.toHaveProperty('deprecated')
  })

  test('that would end before it is deprecated fails at start', async () => {
    await expect(withOperation({ since: '2027-01-31', sunset: '2027-01-30' })).rejects.toThrow(
      "Route GET /v1/wells can't end before it is deprecated.",
    )
  })

  test.each(['2027-02-30x', '31.1.2027', '2027-13-01'])('since %s fails at start', async (since) => {
    await expect(withOperation({ since })).rejects.toThrow(`'${since}' is not a day`)
  })
})

test('an operation that stays says nothing of all that', async () => {
  const { headers } = await (await withOperation()).inject('/v1/wells')
  expect(Object.keys(headers)).not.toEqual(expect.arrayContaining(['deprecation']))
})
