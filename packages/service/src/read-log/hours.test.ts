/** Hours of the read log: closed once, by whichever process, and every later change of a row found. */
import { canonicalBytes, extend, leafHash, rootOf, toHex } from '@liftledger/ledger'
import type { FastifyInstance } from 'fastify'
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, visitSheet } from '../../../../tests/setup/visit.ts'
import { buildApp } from '../app.ts'
import { onConnection } from '../db/testing.ts'
import { closeHour, ReadsMissing } from './close-hour.ts'
import { hourOf } from './rows.ts'
import { closeHours } from './run.ts'
import type { ReadHour } from './schemas.ts'

const HOUR_MS = 3_600_000

let service: TestService
let other: FastifyInstance
let testId: string

beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  const call = { body: visitSheet, headers: { 'idempotency-key': '"hours"' } }
  testId = (await service.call<{ id: string }>('firmA', 'POST /v1/tests', call)).body.id
  // As a second process would: the same database, another log of reads in memory.
  other = await buildApp(service.deps)
})
afterAll(async () => {
  await other.close()
  await service.close()
})

const now = () => service.deps.now()
const close = () => closeHour(service.deps.databases.integrator, now())
const nextHour = () => service.advance(hourOf(now()).getTime() + HOUR_MS - now().getTime())
const tamper = (sql: string) =>
  onConnection(service.databaseUrl, undefined, async (client) => {
    await client.query("alter table ll.read_log disable trigger append_only; set session_replication_role = 'replica'")
    const { rowCount } = await client.query(sql)
    await client.query('alter table ll.read_log enable always trigger append_only')
    return rowCount
  })

/** Reads by an auditor through one process or the other; each is stored when it is answered. */
async function read(app: FastifyInstance, count: number): Promise<void> {
  const headers = { authorization: `Bearer ${service.keys.auditor}` }
  const asked = Array.from({ length: count }, () => app.inject({ url: `/v1/tests/${testId}`, headers }))
  for (const { statusCode } of await Promise.all(asked)) expect(statusCode).toBe(200)
}

const check = async (hour: Date): Promise<ReadHour> => {
  const { status, body } = await service.call<ReadHour & Record<string, unknown>>(
    'auditor',
    `GET /v1/ledger/read-hours/${hour.toISOString()}`,
  )
  expect(status).toBe(200)
  return body
}

beforeEach(async () => {
  nextHour()
  while ((await close()) !== undefined);
})

test('an hour that is over becomes one entry, which the rows hash to as anyone can see', async () => {
  const hour = hourOf(now())
  await Promise.all([read(service.app, 20), read(other, 20)])
  expect(await close()).toBeUndefined()
  expect((await check(hour)).outcome).toBe('not-recorded')
  nextHour()
  const entry = await close()
  expect(entry).toMatchObject({ kind: 'read-log', hour: hour.toISOString(), count: 40 })
  expect(await close()).toBeUndefined()

  const { body } = await service.call<{ items: object[] }>(
    'auditor',
    `GET /v1/ledger/reads?limit=200&hour=${hour.toISOString()}`,
  )
  const leaves = body.items.map((item) => leafHash(canonicalBytes(item)))
  const root = toHex(rootOf(extend({ size: 0, peaks: [] }, leaves)))
  const answer = await check(hour)
  expect(answer).toMatchObject({ outcome: 'same', found: { count: 40, root }, recorded: { count: 40, root } })
  const { body: inLedger } = await service.call<{ items: { kind: string; entry: string }[] }>(
    'auditor',
    `GET /v1/ledger/entries?from=${answer.recorded!.index}`,
  )
  expect(JSON.parse(inLedger.items[0]!.entry)).toEqual(entry)
  await service.app.ledger.settle()
  expect((await service.call('nobody', `GET /v1/ledger/proofs/inclusion?index=${answer.recorded!.index}`)).status).toBe(
    200,
  )
})

test('hours follow each other without a gap, also where nothing was read between', async () => {
  await read(service.app, 3)
  nextHour()
  const empty = hourOf(now())
  nextHour()
  await read(other, 2)
  nextHour()
  const [one, two] = [await close(), await close()]
  expect([one, two]).toMatchObject([{ count: 3 }, { count: 2 }])
  if (typeof one !== 'object' || typeof two !== 'object') throw new Error('two hours were due')
  expect(two.first).toBe(one.first + one.count)
  expect(await check(empty)).toMatchObject({ outcome: 'no-reads', found: { count: 0 } })
  expect(await check(new Date(two.hour))).toMatchObject({ outcome: 'same' })
})

test('of many processes that close at once, one does', async () => {
  await read(service.app, 5)
  nextHour()
  const closed = await Promise.all(Array.from({ length: 6 }, close))
  expect(closed.filter((one) => typeof one === 'object')).toHaveLength(1)
})

test('a read that is written after its hour was closed belongs to the next', async () => {
  await read(service.app, 1)
  const hour = hourOf(now())
  await service.call('firmA', `GET /v1/tests/${testId}`, { headers: { 'x-request-id': 'late-0000001' } })
  nextHour()
  expect(await close()).toMatchObject({ count: 1 })
  // What waits in memory is written before this.
  await read(service.app, 1)
  expect((await check(hour)).outcome).toBe('same')
  const { body } = await service.call<{ items: { request: string; at: string; hour: string }[] }>(
    'auditor',
    `GET /v1/ledger/reads?hour=${hourOf(now()).toISOString()}`,
  )
  const late = body.items.find(({ request }) => request === 'late-0000001')!
  expect([hourOf(new Date(late.at)).getTime(), new Date(late.hour).getTime()]).toEqual([
    hour.getTime(),
    hour.getTime() + HOUR_MS,
  ])
})

describe('a change by who may change everything is found', () => {
  const of = (hour: Date) => `hour = '${hour.toISOString()}'`
  const first = (hour: Date) => `place = (select min(place) from ll.read_log where ${of(hour)})`

  test.each([
    ['when', (hour: Date) => `update ll.read_log set at = at + interval '1 millisecond' where ${first(hour)}`],
    ['which key', (hour: Date) => `update ll.read_log set key_id = 'someoneelse1' where ${first(hour)}`],
    ['which role', (hour: Date) => `update ll.read_log set role = 'keeper' where ${first(hour)}`],
    ['which firm', (hour: Date) => `update ll.read_log set firm_id = gen_random_uuid() where ${first(hour)}`],
    ['which program', (hour: Date) => `update ll.read_log set program_id = gen_random_uuid() where ${first(hour)}`],
    ['which operation', (hour: Date) => `update ll.read_log set operation = 'tests.list' where ${first(hour)}`],
    ['which test', (hour: Date) => `update ll.read_log set test_id = gen_random_uuid() where ${first(hour)}`],
    ['no test', (hour: Date) => `update ll.read_log set test_id = null where ${first(hour)}`],
    ['which plant', (hour: Date) => `update ll.read_log set plant_id = gen_random_uuid() where ${first(hour)}`],
    ['the filter', (hour: Date) => `update ll.read_log set filter = '{}' where ${first(hour)}`],
    ['the count', (hour: Date) => `update ll.read_log set count = 7 where ${first(hour)}`],
    ['which request', (hour: Date) => `update ll.read_log set request_id = 'another-0001' where ${first(hour)}`],
    ['the place', (hour: Date) => `update ll.read_log set place = place + 1000000 where ${first(hour)}`],
    ['the hour', (hour: Date) => `update ll.read_log set hour = hour - interval '1 year' where ${first(hour)}`],
    ['a row gone', (hour: Date) => `delete from ll.read_log where ${first(hour)}`],
    ['all rows gone', (hour: Date) => `delete from ll.read_log where ${of(hour)}`],
    [
      'a row more',
      (hour: Date) =>
        `insert into ll.read_log select place + 2000000, hour, at, key_id, role, firm_id, program_id, operation, test_id,
         plant_id, filter, count, request_id from ll.read_log where ${first(hour)}`,
    ],
  ])('%s', async (_, change) => {
    const hour = hourOf(now())
    await read(service.app, 3)
    nextHour()
    await close()
    expect((await check(hour)).outcome).toBe('same')
    expect(await tamper(change(hour))).toBeGreaterThan(0)
    expect((await check(hour)).outcome).toBe('differs')
  })

  test('and rows put into an hour in which nothing was read', async () => {
    const hour = hourOf(now())
    nextHour()
    await read(service.app, 1)
    nextHour()
    await close()
    await tamper(
      `insert into ll.read_log select 3000000, '${hour.toISOString()}', at, key_id, role, firm_id, program_id, operation,
       test_id, plant_id, filter, count, request_id from ll.read_log order by place desc limit 1`,
    )
    expect((await check(hour)).outcome).toBe('differs')
  })

  test('a row gone before its hour is closed gets no root over what is left', async () => {
    const hour = hourOf(now())
    await read(service.app, 3)
    const gone = await onConnection(service.databaseUrl, undefined, async (client) => {
      const { rows } = await client.query(`select * from ll.read_log where ${of(hour)} order by place offset 1 limit 1`)
      return rows[0] as { place: number }
    })
    await tamper(`create table public.kept as select * from ll.read_log where place = ${gone.place}`)
    await tamper(`delete from ll.read_log where place = ${gone.place}`)
    nextHour()
    await expect(close()).rejects.toThrow(ReadsMissing)
    await tamper('insert into ll.read_log select * from public.kept')
    expect(await close()).toMatchObject({ hour: hour.toISOString(), count: 3 })
  })
})

test('a running process closes what is over', async () => {
  const hour = hourOf(now())
  await read(service.app, 2)
  nextHour()
  service.advance(60_000)
  const closing = closeHours(service.deps)
  await expect.poll(async () => (await check(hour)).outcome, { timeout: 5_000 }).toBe('same')
  await closing.stop()
})

test('an hour is asked for by its begin', async () => {
  const { status, body } = await service.call('auditor', 'GET /v1/ledger/read-hours/2026-05-12T09:30:00Z')
  expect([status, body.code]).toEqual([400, 'invalid-request'])
  expect(body.detail).toContain('2026-05-12T09:00:00.000Z')
})
