/** Tokens of an issuer beside keys: who gets in, and all that doesn't. The issuer listens on loopback. */
import { createHmac, KeyObject, sign } from 'node:crypto'
import { exportJWK, exportSPKI, type JWTPayload } from 'jose'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, visitSheet } from '../../../../tests/setup/visit.ts'
import {
  AUDIENCE,
  type Claims,
  type SigningKey,
  signingKey,
  startIssuer,
  type TestIssuer,
  tokenOf,
} from './issuer-testing.ts'
import type { TokenPrincipal } from './schemas.ts'

const HOUR_S = 3_600

let issuer: TestIssuer
let service: TestService
let key: SigningKey
/** Published, but of an algorithm that the service doesn't take. */
let untaken: SigningKey
beforeAll(async () => {
  issuer = await startIssuer()
  key = await issuer.publish('RS256', 'first')
  untaken = await issuer.publish('ES384', 'untaken')
  service = await startTestService({ OIDC_ISSUER: issuer.url, OIDC_AUDIENCE: AUDIENCE })
  await registerContext(service, 'firmA')
})
afterAll(async () => {
  await service.close()
  await issuer.close()
})

async function letIn(subject: string, more: object = {}): Promise<TokenPrincipal> {
  const body = { issuer: issuer.url, subject, role: 'firm', firmId: service.firmA, name: 'by token', ...more }
  const answer = await service.call<TokenPrincipal>('admin', 'POST /v1/token-principals', { body })
  expect(answer.status).toBe(201)
  expect(answer.headers.location).toBe(`/v1/token-principals/${answer.body.id}`)
  return answer.body
}
const good = (subject: string, change: { claims?: Claims; header?: Record<string, unknown> } = {}, by = key) =>
  tokenOf(by, { issuer: issuer.url, subject, now: service.deps.now() }, change)
const ask = (token: string, route: `${string} ${string}` = 'GET /v1/plants', body?: unknown) =>
  service.call('nobody', route, { body, headers: { authorization: `Bearer ${token}` } })
const statusOf = async (token: string) => (await ask(token)).status
const nowS = () => Math.floor(service.deps.now().getTime() / 1000)

describe('a token', () => {
  test('lets its subject in, as the firm and with the scopes that an administrator gave', async () => {
    expect(await statusOf(await good('reader'))).toBe(401)
    const { id } = await letIn('reader', { scopes: ['plants:read'] })
    const answer = await ask(await good('reader'))
    expect(answer.body).toMatchObject({ items: [{ code: visitSheet.plant }] })
    expect(await ask(await good('reader'), 'GET /v1/tests')).toMatchObject({
      status: 403,
      body: { detail: expect.stringContaining('tests:read') },
    })
    const line = service.log.map((text) => JSON.parse(text) as { keyId?: string }).findLast(({ keyId }) => keyId === id)
    expect(line).toMatchObject({ route: '/v1/tests', firm: expect.any(String) })
  })

  test('submits a test, which names the principal as the credential it came with', async () => {
    const { id } = await letIn('tablet')
    expect(await ask(await good('tablet'), 'POST /v1/tests', visitSheet)).toMatchObject({ status: 201 })
    const auditor = { role: 'auditor', keyId: 'audit', scopes: [] } as const
    const rows = await service.deps.databases.asPrincipal(auditor, (tx) =>
      tx.selectFrom('field_test').select('key_id').execute(),
    )
    expect(rows).toEqual([{ key_id: id }])
  })

  test.each(['RS256', 'ES256', 'EdDSA'])('signed by %s with a published key is believed', async (alg) => {
    await letIn(`by ${alg}`)
    const published = await issuer.publish(alg, `key-${alg}`)
    // A key that is new is asked for, half a minute after the last time at the earliest.
    const fresh = await startTestService({ OIDC_ISSUER: issuer.url, OIDC_AUDIENCE: AUDIENCE })
    const now = fresh.deps.now()
    const body = { issuer: issuer.url, subject: alg, role: 'auditor', name: 'x' }
    await fresh.call('admin', 'POST /v1/token-principals', { body })
    const token = await tokenOf(published, { issuer: issuer.url, subject: alg, now })
    const { status } = await fresh.call('nobody', 'GET /v1/tests', { headers: { authorization: `Bearer ${token}` } })
    expect(status).toBe(200)
    await fresh.close()
    issuer.withdraw(`key-${alg}`)
  })

  test('says who, never what: roles, scopes and firms in it are not read', async () => {
    await letIn('modest', { role: 'auditor', firmId: undefined, scopes: ['tests:read'] })
    const claims = { role: 'admin', roles: ['admin'], scope: 'keys:read keys:write', firm_id: service.firmB }
    const token = await good('modest', { claims })
    expect((await ask(token, 'GET /v1/keys')).status).toBe(403)
    expect((await ask(token, 'GET /v1/tests')).status).toBe(200)
  })

  test('is good for one among several audiences', async () => {
    await letIn('several')
    expect(await statusOf(await good('several', { claims: { aud: ['other', AUDIENCE] } }))).toBe(200)
  })
})

describe('a token that is not quite one', () => {
  const encoded = (value: unknown) => Buffer.from(JSON.stringify(value)).toString('base64url')
  const claimsNow = (): JWTPayload => ({
    iss: issuer.url,
    sub: 'victim',
    aud: AUDIENCE,
    iat: nowS(),
    exp: nowS() + 600,
  })
  /** Header and claims under a signature made otherwise. */
  const forged = (header: object, signature: (text: string) => string, claims: JWTPayload = claimsNow()): string => {
    const text = `${encoded(header)}.${encoded(claims)}`
    return `${text}.${signature(text)}`
  }
  /** By the published key itself: but for its header it is good. */
  const signed = (header: object): string =>
    forged(header, (text) => sign('sha256', Buffer.from(text), KeyObject.from(key.privateKey)).toString('base64url'))
  const mac = (secret: string) => (text: string) => createHmac('sha256', secret).update(text).digest('base64url')
  beforeAll(() => letIn('victim'))

  const cases: [string, () => Promise<string> | string][] = [
    ['has no signature: alg none', () => forged({ alg: 'none' }, () => '')],
    ['has no signature: alg None', () => forged({ alg: 'None', kid: 'first' }, () => '')],
    ['lost its signature', async () => (await good('victim')).replace(/[^.]+$/, '')],
    [
      'is signed with the public key as if it were a secret, in PEM',
      async () => forged({ alg: 'HS256', kid: 'first' }, mac(await exportSPKI(key.publicKey))),
    ],
    [
      'is signed with the public key as if it were a secret, in PEM without its last line break',
      async () => forged({ alg: 'HS256', kid: 'first' }, mac((await exportSPKI(key.publicKey)).trim())),
    ],
    ['names a key that is not published', () => good('victim', { header: { kid: 'second' } })],
    [
      'is signed with another key under the name of a published one',
      async () => good('victim', {}, await signingKey('RS256', 'first')),
    ],
    ['is signed with a published key by an algorithm that is not taken', () => good('victim', {}, untaken)],
    [
      'is signed with another key by an algorithm that is not taken',
      async () => good('victim', {}, await signingKey('PS256', 'first')),
    ],
    ['says an algorithm that the key is not for', async () => good('victim', {}, await signingKey('ES256', 'first'))],
    ['brings its key along', () => bringing('jwk')],
    ['says where its key is', () => bringing('jku')],
    ['says where its certificate is', () => bringing('x5u')],
    [
      'asks for an extension that nobody knows',
      () => signed({ alg: 'RS256', kid: 'first', crit: ['planted'], planted: 1 }),
    ],
    ['comes from another issuer', () => good('victim', { claims: { iss: 'https://other.example' } })],
    ['comes from the issuer with a slash behind', () => good('victim', { claims: { iss: `${issuer.url}/` } })],
    ['comes from no issuer', () => good('victim', { claims: { iss: undefined } })],
    ['is for someone else', () => good('victim', { claims: { aud: 'other' } })],
    ['is for nobody', () => good('victim', { claims: { aud: undefined } })],
    ['has expired, a minute and a second ago', () => good('victim', { claims: { exp: nowS() - 61 } })],
    ['never expires', () => good('victim', { claims: { exp: undefined } })],
    ['is not valid yet', () => good('victim', { claims: { nbf: nowS() + 62 } })],
    ['was made in the future', () => good('victim', { claims: { iat: nowS() + 62 } })],
    ['does not say when it was made', () => good('victim', { claims: { iat: undefined } })],
    ['is older than a working day', () => good('victim', { claims: { iat: nowS() - 12 * HOUR_S - 62 } })],
    ['names no subject', () => good('victim', { claims: { sub: undefined } })],
    ['names an empty subject', () => good('victim', { claims: { sub: '' } })],
    ['names a subject of another length than a name has', () => good('x'.repeat(256))],
    ['is encrypted, or looks so', async () => `${await good('victim')}.x.y`],
    ['has a payload that is none', () => forged({ alg: 'RS256', kid: 'first' }, () => 'AAAA', [] as never)],
    ['is no token', () => 'a.b.c'],
    ['is not even a text with dots', () => 'opaque-access-token'],
  ]
  const bringing = async (member: 'jwk' | 'jku' | 'x5u'): Promise<string> => {
    const own = await signingKey('RS256', 'mine')
    const value = member === 'jwk' ? await exportJWK(own.publicKey) : `${issuer.url}/planted`
    return good('victim', { header: { [member]: value } }, own)
  }

  test.each(cases)('%s gets the one answer', async (_, make) => {
    const token = await make()
    const answer = await ask(token)
    expect(answer).toMatchObject({ status: 401, headers: { 'www-authenticate': 'Bearer' } })
    const nothing = await service.call('nobody', 'GET /v1/plants')
    expect({ ...answer.body, requestId: '' }).toEqual({ ...nothing.body, requestId: '' })
  })

  test('with a header of our own making is one, so that those above fail for their faults', async () => {
    expect(await statusOf(signed({ alg: 'RS256', kid: 'first' }))).toBe(200)
  })

  test('never made the service fetch what a header pointed to, and never reached the log', async () => {
    expect(issuer.asked).not.toContain('/planted')
    expect(new Set(issuer.asked)).toEqual(new Set(['/.well-known/openid-configuration', '/keys']))
    expect(service.log.join('')).not.toContain((await good('victim')).split('.')[0]!)
  })

  test('by a clock a minute off is one still', async () => {
    for (const claims of [{ exp: nowS() - 58 }, { nbf: nowS() + 58 }, { iat: nowS() + 58 }]) {
      expect(await statusOf(await good('victim', { claims }))).toBe(200)
    }
  })
})

describe('whom a token stands for', () => {
  test('ends everywhere within a second when it is removed, stays on record, and can be made anew', async () => {
    const made = await letIn('leaver')
    const token = await good('leaver')
    expect(await statusOf(token)).toBe(200)
    const removed = await service.call<TokenPrincipal>('admin', `DELETE /v1/token-principals/${made.id}`)
    expect(removed.body).toEqual({ ...made, removedAt: expect.any(String) })
    await expect.poll(() => statusOf(token), { timeout: 1_000, interval: 5 }).toBe(401)
    const again = await service.call<TokenPrincipal>('admin', `DELETE /v1/token-principals/${made.id}`)
    expect(again.body).toEqual(removed.body)
    expect((await service.call('admin', `GET /v1/token-principals/${made.id}`)).body).toEqual(removed.body)
    const anew = await letIn('leaver', { scopes: ['plants:read'] })
    expect(anew.id).not.toBe(made.id)
    expect(await statusOf(token)).toBe(200)
  })

  test('is one for each subject', async () => {
    await letIn('single')
    const body = { issuer: issuer.url, subject: 'single', role: 'auditor', name: 'x' }
    const statuses = await Promise.all(
      [1, 2].map(async () => (await service.call('admin', 'POST /v1/token-principals', { body })).status),
    )
    expect(statuses).toEqual([409, 409])
    const race = { ...body, subject: 'raced' }
    const raced = await Promise.all(
      [1, 2, 3].map(async () => (await service.call('admin', 'POST /v1/token-principals', { body: race })).status),
    )
    expect(raced.toSorted()).toEqual([201, 409, 409])
  })

  test.each([
    ['without a firm for a firm', { role: 'firm' }, 400, '/firmId'],
    ['with a scope beyond the role', { role: 'auditor', scopes: ['keys:write'] }, 400, '/scopes/0'],
    ['of another issuer', { role: 'auditor', issuer: 'https://other.example' }, 400, '/issuer'],
    ['of an issuer that is no address', { role: 'auditor', issuer: 'ldap://other.example' }, 400, '/issuer'],
    ['of a firm that is not there', { role: 'firm', firmId: 'frm_00000000000000000000000000' }, 422, '/firmId'],
  ])('is not made %s', async (_, asked, status, pointer) => {
    const body = { issuer: issuer.url, subject: 'none', name: 'x', ...asked }
    const answer = await service.call('admin', 'POST /v1/token-principals', { body })
    expect(answer).toMatchObject({ status, body: { errors: [{ pointer }] } })
  })

  test('is listed page by page, and managed by administrators alone', async () => {
    const seen: string[] = []
    for (let next: string | undefined = ''; next !== undefined; ) {
      const page: { body: { items: TokenPrincipal[]; next?: string } } = await service.call(
        'admin',
        `GET /v1/token-principals?limit=2${next && `&cursor=${next}`}`,
      )
      seen.push(...page.body.items.map(({ id }) => id))
      next = page.body.next
    }
    expect(seen.length).toBeGreaterThan(5)
    expect(new Set(seen).size).toBe(seen.length)
    for (const caller of ['firmA', 'program', 'auditor', 'keeper'] as const) {
      expect((await service.call(caller, 'GET /v1/token-principals')).status).toBe(403)
      expect((await service.call(caller, `DELETE /v1/token-principals/${seen[0]}`)).status).toBe(403)
    }
    expect((await service.call('admin', 'DELETE /v1/token-principals/000000000000')).status).toBe(404)
  })
})

describe('an issuer', () => {
  const DISCOVERY = '/.well-known/openid-configuration'
  const json = (value: unknown) => (response: { end(text: string): void }) => response.end(JSON.stringify(value))
  const fetches = [
    ['does not know itself', DISCOVERY, json({ issuer: 'https://other.example', jwks_uri: 'x' })],
    ['names no keys', DISCOVERY, () => json({ issuer: issuer.url })],
    [
      'keeps its keys elsewhere, over an open line or worse',
      DISCOVERY,
      () => json({ issuer: issuer.url, jwks_uri: 'file:///etc/keys' }),
    ],
    ['sends no JSON', DISCOVERY, (response: { end(text: string): void }) => response.end('<html>')],
    ['has keys that are none', '/keys', json({ keys: 'many' })],
    [
      'sends more than a key set can be',
      '/keys',
      (response: { end(text: string): void }) => response.end(' '.repeat(300_000)),
    ],
    [
      'sends one elsewhere for its keys',
      '/keys',
      (response: { writeHead(status: number, headers: object): { end(): void } }) =>
        response.writeHead(302, { location: '/planted' }).end(),
    ],
    [
      'is out of order',
      '/keys',
      (response: { writeHead(status: number): { end(): void } }) => response.writeHead(500).end(),
    ],
  ] as const

  test.each(fetches)('that %s makes tokens wait and leaves keys alone', async (_, path, answer) => {
    const spoilt = answer.length === 0 ? (answer as () => never)() : answer
    issuer.answer(path, spoilt as never)
    const fresh = await startTestService({ OIDC_ISSUER: issuer.url, OIDC_AUDIENCE: AUDIENCE })
    const token = await tokenOf(key, { issuer: issuer.url, subject: 's', now: fresh.deps.now() })
    const call = { headers: { authorization: `Bearer ${token}` } }
    const refused = await fresh.call('nobody', 'GET /v1/plants', call)
    expect(refused).toMatchObject({
      status: 503,
      headers: { 'retry-after': '5' },
      body: { code: 'issuer-unavailable' },
    })
    expect((await fresh.call('firmA', 'GET /v1/plants')).status).toBe(200)
    expect(JSON.stringify(refused.body)).not.toContain('127.0.0.1')
    issuer.answer(path, undefined)
    fresh.advance(5_000)
    // Its keys are there again; the subject still stands for nobody.
    expect((await fresh.call('nobody', 'GET /v1/plants', call)).status).toBe(401)
    await fresh.close()
    expect(issuer.asked).not.toContain('/planted')
  })

  test('that is silent is asked once by many, and not again at once', async () => {
    issuer.answer(DISCOVERY, (response) => response.writeHead(503).end())
    const fresh = await startTestService({ OIDC_ISSUER: issuer.url, OIDC_AUDIENCE: AUDIENCE })
    const before = issuer.asked.length
    const token = await tokenOf(key, { issuer: issuer.url, subject: 's', now: fresh.deps.now() })
    const call = { headers: { authorization: `Bearer ${token}` } }
    const all = () => Promise.all(Array.from({ length: 20 }, () => fresh.call('nobody', 'GET /v1/plants', call)))
    for (let round = 0; round < 3; round++) for (const { status } of await all()) expect(status).toBe(503)
    expect(issuer.asked.length - before).toBe(1)
    issuer.answer(DISCOVERY, undefined)
    await fresh.close()
  })
})

test('where no issuer is trusted, no token is, and principals can be made beforehand', async () => {
  const without = await startTestService()
  const token = await tokenOf(key, { issuer: issuer.url, subject: 's', now: without.deps.now() })
  const body = { issuer: issuer.url, subject: 's', role: 'auditor', name: 'for later' }
  expect((await without.call('admin', 'POST /v1/token-principals', { body })).status).toBe(201)
  const { status } = await without.call('nobody', 'GET /v1/tests', { headers: { authorization: `Bearer ${token}` } })
  expect(status).toBe(401)
  await without.close()
})
