/** Readers of large bundles who don't read: they hold up no submissions, and no places but those of their key. */
import { connect, type Socket } from 'node:net'
import { afterAll, afterEach, beforeAll, expect, test, vi } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, visitSheet } from '../../../../tests/setup/visit.ts'
import { onConnection } from '../db/testing.ts'
import { fromWire } from '../http/ids.ts'
import { PLACES_MAX } from './bundle-places.ts'

/** More than sockets and their buffers take in before anybody reads. */
const COPIES = 2_000

let service: TestService
let url: URL
let sockets: Socket[] = []
beforeAll(async () => {
  service = await startTestService({ IN_FLIGHT_MAX: '1' })
  await registerContext(service, 'firmA')
  const { body } = await service.call<{ id: string }>('firmA', 'POST /v1/tests', { body: visitSheet })
  await copy(fromWire('test', body.id)!)
  await service.app.ledger.settle()
  url = new URL(await service.listen())
}, 60_000)
afterEach(() => {
  for (const socket of sockets) socket.destroy()
  sockets = []
})
afterAll(() => service.close())

/** Enters copies of a test, with entries about them, past everything that would refuse them. */
async function copy(testId: string): Promise<void> {
  await onConnection(service.databaseUrl, undefined, async (client) => {
    const { rows } = await client.query<{ name: string }>(
      `select column_name as name from information_schema.columns
       where table_schema = 'll' and table_name = 'field_test' and is_generated = 'NEVER'`,
    )
    const into = rows.map(({ name }) => name)
    const from = into.map((name) => (name === 'id' ? 'copy.id' : `test.${name}`))
    await client.query(
      `create temp table copy as select gen_random_uuid() as id, n from generate_series(0, ${COPIES - 1}) n`,
    )
    await client.query(
      `insert into ll.field_test (${into.join(', ')}) select ${from.join(', ')} from ll.field_test test, copy where test.id = $1`,
      [testId],
    )
    await client.query(
      `with head as (update ll.ledger_head set next = next + ${COPIES} returning next - ${COPIES} as first),
       made as (select first + n as index, id, convert_to('{"kind":"test","n":' || n || '}', 'UTF8') as entry from head, copy)
       insert into ll.ledger_entry (index, leaf_hash, entry, kind, firm_id, subject)
       select index, sha256('\\x00'::bytea || entry), entry, 'test', (select firm_id from ll.field_test where id = $1), id from made`,
      [testId],
    )
  })
}

/** Asks for everything and answers the first bytes; after those nothing is read. */
async function begin(caller: 'firmA' | 'auditor'): Promise<string> {
  const body = JSON.stringify({ testedFrom: '2020-01-01' })
  const socket = connect(Number(url.port), url.hostname)
  sockets.push(socket)
  socket.on('error', () => undefined)
  socket.write(
    `POST /v1/ledger/bundles HTTP/1.1\r\nhost: ${url.host}\r\nauthorization: Bearer ${service.keys[caller]}\r\n` +
      `content-type: application/json\r\ncontent-length: ${body.length}\r\n\r\n${body}`,
  )
  return new Promise((resolve) =>
    socket.once('data', (bytes) => {
      socket.pause()
      resolve(bytes.toString('latin1'))
    }),
  )
}
const ask = async (caller: 'firmA' | 'auditor') => (await begin(caller)).slice(9, 12)
const submit = async () => (await service.call('firmA', 'POST /v1/tests', { body: visitSheet })).status

test('take nothing from submissions, and of their own places only as many as a key has', async () => {
  const own = await Promise.all(Array.from({ length: PLACES_MAX.ofKey }, () => ask('firmA')))
  expect(new Set(own)).toEqual(new Set(['200']))
  const refused = await begin('firmA')
  expect(refused).toMatch(/^HTTP\/1\.1 503 /)
  expect(refused).toMatch(/retry-after: 5\r\n/i)
  expect(refused).toContain('"code":"overloaded"')
  expect(await ask('auditor')).toBe('200')
  expect(service.app.admission.inFlight).toBe(0)
  expect(await submit()).toBe(201)
})

test('give their places back when they go', async () => {
  await Promise.all(Array.from({ length: PLACES_MAX.ofKey }, () => ask('firmA')))
  for (const socket of sockets) socket.destroy()
  await vi.waitFor(async () => expect(await ask('firmA')).toBe('200'), { timeout: 10_000, interval: 50 })
})
