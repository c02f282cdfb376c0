/** Who read what, as firms, programs and auditors are told it, and what happens where it can’t be written down. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { giveToProgram } from '../../../../tests/isolation-world.ts'
import { type Caller, startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, visitSheet } from '../../../../tests/setup/visit.ts'
import { onConnection } from '../db/testing.ts'

interface Row {
  readonly operation: string
  readonly role: string
  readonly request: string
  readonly test?: string
  readonly plant?: string
  readonly firm?: string
  readonly program?: string
  readonly filter?: string
  readonly count?: number
}

let service: TestService
let testId: string
let otherId: string
let plantId: string

beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  testId = await submit('first')
  otherId = await submit('second')
  await giveToProgram(service, testId)
  plantId = (await service.call<{ items: { id: string }[] }>('firmA', 'GET /v1/plants')).body.items[0]!.id
})
afterAll(() => service.close())

async function submit(key: string): Promise<string> {
  const call = { body: visitSheet, headers: { 'idempotency-key': `"${key}"` } }
  return (await service.call<{ id: string }>('firmA', 'POST /v1/tests', call)).body.id
}

/** All rows that there are now, asked on a connection of its own. */
const stored = (): Promise<
  readonly { readonly operation: string; readonly role: string; readonly request_id: string }[]
> =>
  onConnection(service.databaseUrl, undefined, async (client) => {
    const { rows } = await client.query<{ operation: string; role: string; request_id: string }>(
      'select * from ll.read_log order by place',
    )
    return rows
  })

const readsOf = async (caller: Caller, id = testId): Promise<readonly Row[]> => {
  const { status, body } = await service.call<{ items: Row[] }>(caller, `GET /v1/tests/${id}/reads?limit=200`)
  expect(status).toBe(200)
  return body.items
}

const as = (request: string) => ({ headers: { 'x-request-id': request } })

describe('a read of another’s test', () => {
  test.each([
    ['auditor', 'GET /v1/tests/TEST', 'tests.get'],
    ['program', 'GET /v1/tests/TEST/findings', 'tests.findings'],
    ['keeper', 'GET /v1/tests/TEST/trace/overall-plant-efficiency', 'tests.trace'],
    ['auditor', 'GET /v1/tests/TEST/notes', 'notes.list'],
    ['program', 'GET /v1/ledger/bundle/TEST', 'ledger.bundle'],
    ['auditor', 'GET /v1/tests?plant=AM-17', 'tests.list'],
    ['auditor', 'GET /v1/ledger/entries?test=TEST', 'ledger.entries'],
    ['auditor', 'GET /v1/plants/PLANT/history', 'plants.history'],
    ['firmA', 'GET /v1/plants/PLANT/history', 'plants.history'],
    ['auditor', 'GET /v1/ledger/tile/entries/000.p/1', 'ledger.entryBundle'],
  ] as const)('by %s is on record before the answer: %#', async (caller, address, operation) => {
    await service.app.ledger.settle()
    const request = `waits-${Math.random().toString(36).slice(2, 12)}`
    const { status } = await service.call(
      caller,
      address.replace('TEST', testId).replace('PLANT', plantId) as `GET ${string}`,
      as(request),
    )
    expect(status).toBe(200)
    const rows = (await stored()).filter(({ request_id }) => request_id === request)
    expect(rows).toMatchObject([{ operation, role: caller === 'firmA' ? 'firm' : caller }])
  })

  test('in a bundle of many leaves a row for each test', async () => {
    await service.call('auditor', 'POST /v1/ledger/bundles', { body: { tests: [testId, otherId] }, ...as('bundle-01') })
    for (const id of [testId, otherId]) {
      expect(await readsOf('auditor', id)).toContainEqual(
        expect.objectContaining({ operation: 'ledger.bundles', role: 'auditor', test: id, request: 'bundle-01' }),
      )
    }
  })

  test('is one too where the caller has the answer already, and where he asks for its head', async () => {
    const { headers } = await service.call('auditor', `GET /v1/tests/${testId}`)
    const known = { 'if-none-match': String(headers.etag), 'x-request-id': 'known-000001' }
    expect((await service.call('auditor', `GET /v1/tests/${testId}`, { headers: known })).status).toBe(304)
    const key = { authorization: `Bearer ${service.keys.auditor}`, 'x-request-id': 'headof-00001' }
    expect((await service.app.inject({ method: 'HEAD', url: `/v1/tests/${testId}`, headers: key })).statusCode).toBe(
      200,
    )
    const requests = (await stored()).map(({ request_id }) => request_id)
    for (const one of ['known-000001', 'headof-00001']) expect(requests.filter((id) => id === one)).toHaveLength(1)
  })

  test('is none where nothing was answered', async () => {
    const { status } = await service.call('program', `GET /v1/tests/${otherId}`, as('notfound-001'))
    expect(status).toBe(404)
    expect((await service.call('admin', `GET /v1/tests/${testId}`, as('forbidden-01'))).status).toBe(403)
    const requests = (await stored()).map(({ request_id }) => request_id)
    expect(requests).not.toContain('notfound-001')
    expect(requests).not.toContain('forbidden-01')
  })
})

test('a firm’s own read is on record within the second', async () => {
  await service.call('firmA', `GET /v1/tests/${testId}`, as('ownread-0001'))
  await service.call('firmA', `GET /v1/tests?versions=all`, as('ownlist-0001'))
  await expect
    .poll(stored, { timeout: 5_000 })
    .toEqual(
      expect.arrayContaining([
        expect.objectContaining({ request_id: 'ownread-0001', operation: 'tests.get', filter: null, count: null }),
        expect.objectContaining({ request_id: 'ownlist-0001', filter: '{"versions":"all"}', count: 2, test_id: null }),
      ]),
    )
})

describe('who read a test', () => {
  test('is told to its firm whole, and to a program as far as it was that itself', async () => {
    await service.call('program', `GET /v1/tests/${testId}`)
    await service.call('auditor', `GET /v1/tests/${testId}`)
    const [whole, own] = [await readsOf('firmA'), await readsOf('program')]
    expect(new Set(whole.map(({ role }) => role))).toEqual(new Set(['firm', 'program', 'auditor', 'keeper']))
    expect(whole).toEqual(await readsOf('auditor'))
    expect(own.length).toBeGreaterThan(0)
    expect(own).toEqual(whole.filter(({ program }) => program === service.program))
  })

  test('is nobody else’s to know', async () => {
    expect((await service.call('firmB', `GET /v1/tests/${testId}/reads`)).status).toBe(404)
    expect((await service.call('program', `GET /v1/tests/${otherId}/reads`)).status).toBe(404)
    expect((await service.call('firmA', 'GET /v1/ledger/reads')).status).toBe(403)
  })

  test('comes in pages, the latest first', async () => {
    const whole = await readsOf('firmA')
    const paged: Row[] = []
    let cursor = ''
    do {
      const address = `GET /v1/tests/${testId}/reads?limit=3${cursor}` as const
      const { body } = await service.call<{ items: Row[]; next?: string }>('firmA', address)
      paged.push(...body.items)
      cursor = body.next === undefined ? '' : `&cursor=${body.next}`
    } while (cursor !== '')
    expect(paged).toEqual(whole)
  })

  test('holds ids and nothing that people wrote', async () => {
    const { body } = await service.call<{ items: Row[] }>('auditor', 'GET /v1/ledger/reads?limit=200')
    for (const row of body.items) {
      for (const value of Object.values(row)) expect(String(value)).toMatch(/^[\w:./{}",-]+$/)
    }
  })
})

describe('where nothing can be written down', () => {
  const broken = (sql: string) => onConnection(service.databaseUrl, undefined, (client) => client.query(sql))

  test('others’ reads are refused, a firm’s own go on and are counted as lost', async () => {
    await broken('revoke execute on function ll.write_reads from ll_writer')
    try {
      const { status, body, headers } = await service.call('auditor', `GET /v1/tests/${testId}/results`)
      expect([status, body.code, headers['retry-after']]).toEqual([503, 'database-unavailable', '1'])
      expect(headers['cache-control']).toBe('no-store')
      expect(headers.etag).toBeUndefined()
      const file = await service.call('program', 'POST /v1/ledger/bundles', { body: { tests: [testId] } })
      expect(file.status).toBe(503)
      expect((await service.call('firmA', `GET /v1/tests/${testId}`, as('lostread-001'))).status).toBe(200)
      await expect.poll(() => service.log.some((line) => line.includes('reads are not on record'))).toBe(true)
    } finally {
      await broken('grant execute on function ll.write_reads to ll_writer')
    }
    expect((await service.call('auditor', `GET /v1/tests/${testId}/results`)).status).toBe(200)
    expect((await stored()).map(({ request_id }) => request_id)).not.toContain('lostread-001')
  })

  test('one read that can’t be stored fails alone', async () => {
    await broken("alter table ll.read_log add constraint poison check (request_id <> 'poisoned-001')")
    const asked = ['poisoned-001', 'sound-000001', 'sound-000002', 'sound-000003'].map((request) =>
      service.call('auditor', `GET /v1/tests/${testId}`, as(request)),
    )
    expect((await Promise.all(asked)).map(({ status }) => status)).toEqual([503, 200, 200, 200])
    await broken('alter table ll.read_log drop constraint poison')
  })
})
