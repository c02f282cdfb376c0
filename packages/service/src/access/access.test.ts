import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import type { Key, MadeKey } from './schemas.ts'

let service: TestService
beforeAll(async () => {
  service = await startTestService()
})
afterAll(() => service.close())

const bearer = (key: string) => ({ headers: { authorization: `Bearer ${key}` } })

async function make(body: object): Promise<MadeKey> {
  const answer = await service.call<MadeKey>('admin', 'POST /v1/keys', { body })
  expect(answer.status).toBe(201)
  return answer.body
}

describe('an administrator', () => {
  test('makes a key that is shown once and works at once', async () => {
    const made = await make({ role: 'firm', firmId: service.firmA, name: 'Field tablet 3' })
    expect(made).toMatchObject({ role: 'firm', firmId: service.firmA, name: 'Field tablet 3' })
    expect(made.key).toMatch(/^llk_demo_/)
    expect((await service.call('nobody', 'GET /v1/plants', bearer(made.key))).status).toBe(200)

    const { body } = await service.call<{ items: Key[] }>('admin', 'GET /v1/keys?limit=200')
    expect(body.items.find(({ id }) => id === made.id)).toEqual({ ...made, key: undefined })
    expect(JSON.stringify(body)).not.toContain(made.key.slice(-38))
  })

  test.each([
    ['a firm’s key without a firm', { role: 'firm' }, '/firmId', 'missing-member'],
    ['an auditor’s key with a firm', { role: 'auditor', firmId: 'A' }, '/firmId', 'unknown-field'],
    [
      'a scope beyond the role',
      { role: 'auditor', scopes: ['tests:read', 'keys:write'] },
      '/scopes/1',
      'unknown-value',
    ],
    ['an end in the past', { role: 'admin', expiresAt: '2020-01-01T00:00:00Z' }, '/expiresAt', 'wrong-format'],
    ['an end in three years', { role: 'admin', expiresAt: '2199-01-01T00:00:00Z' }, '/expiresAt', 'wrong-format'],
  ])('is refused %s', async (_, asked, pointer, code) => {
    const body = { name: 'x', ...asked, ...('firmId' in asked && { firmId: service.firmA }) }
    const answer = await service.call('admin', 'POST /v1/keys', { body })
    expect(answer).toMatchObject({ status: 400, body: { code: 'invalid-request', errors: [{ pointer, code }] } })
  })

  test('is told when the firm does not exist', async () => {
    const body = { role: 'firm', name: 'x', firmId: 'frm_00000000000000000000000000' }
    const answer = await service.call('admin', 'POST /v1/keys', { body })
    expect(answer).toMatchObject({
      status: 422,
      body: { code: 'reference-not-found', errors: [{ pointer: '/firmId' }] },
    })
  })

  test('pages through keys without meeting one twice', async () => {
    const seen: string[] = []
    let next: string | undefined = ''
    while (next !== undefined) {
      const page: { body: { items: Key[]; next?: string } } = await service.call(
        'admin',
        `GET /v1/keys?limit=3${next && `&cursor=${next}`}`,
      )
      seen.push(...page.body.items.map(({ id }) => id))
      next = page.body.next
    }
    expect(seen.length).toBeGreaterThanOrEqual(6)
    expect(new Set(seen).size).toBe(seen.length)
  })

  test('revokes a key, which is refused within five seconds and for good', async () => {
    const made = await make({ role: 'auditor', name: 'Season 2026' })
    expect((await service.call('nobody', 'GET /v1/firms', bearer(made.key))).status).toBe(403)
    const revoked = await service.call<Key>('admin', `POST /v1/keys/${made.id}/revocation`)
    expect(revoked.body.revokedAt).toBeDefined()
    service.advance(5_000)
    expect((await service.call('nobody', 'GET /v1/firms', bearer(made.key))).status).toBe(401)
    const again = await service.call<Key>('admin', `POST /v1/keys/${made.id}/revocation`)
    expect(again.body).toEqual(revoked.body)
  })

  test.each(['000000000000', 'x', '00000000000U'])('can not revoke the key %s, which does not exist', async (id) => {
    const answer = await service.call('admin', `POST /v1/keys/${id}/revocation`)
    expect(answer).toMatchObject({
      status: 404,
      body: { code: 'not-found', detail: `There is no key '${id}' that this key may see.` },
    })
  })
})

describe('a key', () => {
  test('that is wrong in any way gets one answer', async () => {
    const { key, id } = await make({ role: 'admin', name: 'To be spoilt' })
    const expired = await make({
      role: 'admin',
      name: 'Short',
      expiresAt: new Date(Date.now() + 3_600_000).toISOString(),
    })
    await service.call('admin', `POST /v1/keys/${id}/revocation`)
    service.advance(3_700_000)
    const wrong = [
      undefined,
      '',
      'Bearer',
      'Bearer x',
      'Basic eDp5',
      `Bearer ${key.slice(0, -1)}x`,
      `Bearer ${key}`,
      `Bearer ${expired.key}`,
    ]
    const answers = await Promise.all(
      wrong.map((authorization) =>
        service.call('nobody', 'GET /v1/keys', {
          headers: { 'x-request-id': 'the-same-for-all', ...(authorization !== undefined && { authorization }) },
        }),
      ),
    )
    for (const answer of answers) {
      expect(answer).toMatchObject({ status: 401, headers: { 'www-authenticate': 'Bearer' } })
      expect(answer.body).toEqual(answers[0]!.body)
    }
  })

  test('with a narrow scope is told which one is missing', async () => {
    const made = await make({ role: 'firm', firmId: service.firmA, name: 'Reads', scopes: ['plants:read'] })
    const answer = await service.call('nobody', 'POST /v1/plants', { ...bearer(made.key), body: {} })
    expect(answer).toMatchObject({
      status: 403,
      body: { code: 'forbidden', detail: expect.stringContaining('plants:write') },
    })
    expect((await service.call('nobody', 'GET /v1/plants', bearer(made.key))).status).toBe(200)
  })

  test.each(['firmA', 'program', 'auditor', 'keeper'] as const)(
    'of %s makes, lists and revokes no keys',
    async (caller) => {
      for (const route of ['POST /v1/keys', 'GET /v1/keys', 'POST /v1/keys/000000000000/revocation'] as const) {
        const answer = await service.call(caller, route)
        expect(answer).toMatchObject({ status: 403, body: { code: 'forbidden' } })
      }
    },
  )

  test('in an address is refused and not repeated', async () => {
    const answer = await service.call('nobody', `GET /v1/plants?key=${service.keys.firmA}`)
    expect(answer.status).toBe(400)
    expect(JSON.stringify(answer.body)).not.toContain(service.keys.firmA)
  })

  test('never reaches the log, nor does a secret by any other way', () => {
    const log = service.log.join('')
    expect(log).toContain('"route":"/v1/keys"')
    expect(log).not.toMatch(/llk_demo_/)
  })
})
