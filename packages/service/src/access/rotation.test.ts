import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import type { Key, MadeKey } from './schemas.ts'

const HOUR_MS = 3_600_000

let service: TestService
beforeAll(async () => {
  service = await startTestService()
})
afterAll(() => service.close())

async function make(more: object = {}): Promise<MadeKey> {
  const body = { role: 'firm', firmId: service.firmA, name: 'Office', scopes: ['plants:read'], ...more }
  return (await service.call<MadeKey>('admin', 'POST /v1/keys', { body })).body
}
const rotate = (id: string, body: object = {}) =>
  service.call<MadeKey>('admin', `POST /v1/keys/${id}/rotation`, { body })
const read = async (id: string) => (await service.call<Key>('admin', `GET /v1/keys/${id}`)).body
const works = async ({ key }: MadeKey) =>
  (await service.call('nobody', 'GET /v1/plants', { headers: { authorization: `Bearer ${key}` } })).status === 200
const fromNow = (ms: number) => new Date(service.deps.now().getTime() + ms).toISOString()

describe('a rotated key', () => {
  test('has a successor that may do the same; both work for a day, then the new one alone', async () => {
    const old = await make()
    const answer = await rotate(old.id)
    const made = answer.body
    expect(answer).toMatchObject({
      status: 201,
      headers: { location: `/v1/keys/${made.id}`, 'cache-control': 'no-store' },
    })
    const { id: _, key: __, createdAt: ___, expiresAt: ____, ...same } = old
    expect(made).toMatchObject(same)
    expect(made.id).not.toBe(old.id)
    expect(await read(old.id)).toMatchObject({ replacedBy: made.id })
    expect(Date.parse((await read(old.id)).expiresAt) - service.deps.now().getTime()).toBeLessThanOrEqual(24 * HOUR_MS)
    expect([await works(old), await works(made)]).toEqual([true, true])
    service.advance(24 * HOUR_MS)
    expect([await works(old), await works(made)]).toEqual([false, true])
  })

  test('ends when asked to, never later than before', async () => {
    const old = await make({ expiresAt: fromNow(48 * HOUR_MS) })
    const late = await rotate(old.id, { oldEndsAt: fromNow(49 * HOUR_MS) })
    expect(late).toMatchObject({ status: 400, body: { errors: [{ pointer: '/oldEndsAt', code: 'wrong-format' }] } })
    expect((await rotate(old.id, { oldEndsAt: fromNow(-1) })).status).toBe(400)
    expect((await rotate(old.id, { expiresAt: fromNow(3 * 365 * 24 * HOUR_MS) })).status).toBe(400)
    expect(await read(old.id)).not.toHaveProperty('replacedBy')
    const [oldEndsAt, expiresAt] = [fromNow(2 * HOUR_MS), fromNow(100 * HOUR_MS)]
    const { body: made } = await rotate(old.id, { oldEndsAt, expiresAt })
    expect([(await read(old.id)).expiresAt, made.expiresAt]).toEqual([oldEndsAt, expiresAt])
    service.advance(2 * HOUR_MS)
    expect([await works(old), await works(made)]).toEqual([false, true])
  })

  test('that would have ended within the day ends when it would have', async () => {
    const expiresAt = fromNow(HOUR_MS)
    const old = await make({ expiresAt })
    await rotate(old.id)
    expect((await read(old.id)).expiresAt).toBe(expiresAt)
  })

  test('is not rotated twice, also not at the same moment: one successor, and no key too many', async () => {
    const old = await make()
    const count = async () =>
      (await service.call<{ items: Key[] }>('admin', 'GET /v1/keys?limit=200')).body.items.length
    const before = await count()
    const answers = await Promise.all(Array.from({ length: 6 }, () => rotate(old.id)))
    const statuses = answers.map(({ status }) => status).toSorted()
    expect(statuses).toEqual([201, 409, 409, 409, 409, 409])
    expect(await count()).toBe(before + 1)
    const made = answers.find(({ status }) => status === 201)!.body
    const again = await rotate(old.id)
    expect(again).toMatchObject({
      status: 409,
      body: { code: 'conflict', detail: expect.stringContaining(`its successor is ${made.id}`) },
    })
    expect((await rotate(made.id)).status).toBe(201)
  })

  test('that was revoked or has expired is not rotated', async () => {
    const revoked = await make()
    await service.call('admin', `POST /v1/keys/${revoked.id}/revocation`)
    expect((await rotate(revoked.id)).body).toMatchObject({
      code: 'conflict',
      detail: expect.stringContaining('revoked'),
    })
    const expired = await make({ expiresAt: fromNow(HOUR_MS) })
    service.advance(HOUR_MS)
    expect((await rotate(expired.id)).body).toMatchObject({
      code: 'conflict',
      detail: expect.stringContaining('expired'),
    })
    expect((await rotate('000000000000')).status).toBe(404)
  })

  test('can be revoked while its successor goes on, and the other way round', async () => {
    const old = await make()
    const { body: made } = await rotate(old.id)
    await service.call('admin', `POST /v1/keys/${made.id}/revocation`)
    await expect.poll(async () => [await works(old), await works(made)]).toEqual([true, false])
  })
})

test('a key is read by its id without its secret', async () => {
  const made = await make()
  const answer = await service.call<Key>('admin', `GET /v1/keys/${made.id}`)
  const { key: _, ...shown } = made
  expect(answer.body).toEqual(shown)
  expect((await service.call('admin', 'GET /v1/keys/000000000000')).status).toBe(404)
  expect((await service.call('firmA', `GET /v1/keys/${made.id}`)).status).toBe(403)
})
