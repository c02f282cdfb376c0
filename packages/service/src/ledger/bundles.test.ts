/** Bundles as they are downloaded, verified with nothing but the file and the log's key. */

import { type Context, editionById, evaluate, type Sheet } from '@liftledger/calc'
import { type BundleReport, canonicalBytes, parseVerifierKey, type VerifierKey, verifyBundle } from '@liftledger/ledger'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { type Caller, startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, sheetWith } from '../../../../tests/setup/visit.ts'
import { onConnection } from '../db/testing.ts'
import { addEntries } from './testing.ts'

let service: TestService
let key: VerifierKey
const tests: string[] = []

beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  const { body } = await service.call<{ items: { key: string }[] }>('nobody', 'GET /v1/ledger/keys')
  key = parseVerifierKey(body.items[0]!.key)
  for (const testedOn of ['2026-05-12', '2026-05-13', '2026-06-01']) {
    tests.push(await submit(testedOn))
    await onConnection(service.databaseUrl, undefined, (client) => addEntries(client, 150))
  }
  const note = { body: { kind: 'remark', text: 'A remark that is in no bundle' } }
  await service.call('firmA', `POST /v1/tests/${tests[0]}/notes`, note)
})
afterAll(() => service.close())

async function submit(testedOn: string): Promise<string> {
  const sheet = sheetWith({ '/testedOn': testedOn })
  return (await service.call<{ id: string }>('firmA', 'POST /v1/tests', { body: sheet })).body.id
}

const replay = (raw: Uint8Array, context: Uint8Array, edition: string): Uint8Array | undefined => {
  const known = editionById(edition)
  const parse = <T>(bytes: Uint8Array): T => JSON.parse(Buffer.from(bytes).toString('utf8')) as T
  return known && canonicalBytes(evaluate(parse<Sheet>(raw), parse<Context>(context), known))
}

const verify = (file: Buffer): Promise<BundleReport> => verifyBundle(file, { keys: [key], replay })

async function download(caller: Exclude<Caller, 'nobody'>, path: string, body?: object) {
  const response = await service.app.inject({
    method: body === undefined ? 'GET' : 'POST',
    url: `/v1/ledger/${path}`,
    headers: { authorization: `Bearer ${service.keys[caller]}` },
    ...(body !== undefined && { payload: body }),
  })
  return { status: response.statusCode, headers: response.headers, file: response.rawPayload, text: response.payload }
}

describe('a bundle of one test', () => {
  test.each(['firmA', 'auditor', 'keeper'] as const)(
    'verifies down to the evaluation, as %s gets it',
    async (caller) => {
      const { status, headers, file } = await download(caller, `bundle/${tests[0]}`)
      expect(status).toBe(200)
      expect(headers['content-type']).toBe('application/vnd.liftledger.bundle')
      expect(headers['content-disposition']).toBe(`attachment; filename="${tests[0]}.liftledger-bundle"`)
      const report = await verify(file)
      expect(report.problems).toEqual([])
      expect(report.tests).toEqual([
        expect.objectContaining({ id: tests[0], firm: service.firmA, replay: 'identical' }),
      ])
      expect(report.checkpoint).toMatchObject({ origin: 'liftledger.example', signatures: [{ by: 'log' }] })
      // The note is told of by its hash alone.
      expect(report.counts.kinds).toEqual({ test: 1, note: 1 })
      expect(file.toString('utf8')).not.toContain('A remark')
    },
  )

  test('is covered at once, also right after the test was stored', async () => {
    const id = await submit('2026-06-02')
    const report = await verify((await download('firmA', `bundle/${id}`)).file)
    expect([report.ok, report.tests[0]?.id]).toEqual([true, id])
  })

  test('shows that the log continues a checkpoint that was kept', async () => {
    const checkpoints = await onConnection(service.databaseUrl, undefined, (client) =>
      client.query<{ size: string }>('select size from ll.ledger_checkpoint order by size'),
    )
    const since = Number(checkpoints.rows[0]!.size)
    await submit('2026-06-03')
    await service.app.ledger.settle()
    const report = await verify((await download('firmA', `bundle/${tests[1]}?since=${since}`)).file)
    expect([report.ok, report.continues]).toEqual([true, since])
    expect((await download('firmA', `bundle/${tests[1]}?since=1000000`)).status).toBe(404)
  })

  test('is found by nobody who may not see the test', async () => {
    expect((await download('firmB', `bundle/${tests[0]}`)).status).toBe(404)
    expect((await download('program', `bundle/${tests[0]}`)).status).toBe(404)
    expect((await download('admin', `bundle/${tests[0]}`)).status).toBe(403)
  })

  test('of a sheet that was changed in the database says so', async () => {
    const id = await submit('2026-06-04')
    await onConnection(service.databaseUrl, undefined, async (client) => {
      await client.query('alter table ll.field_test disable trigger all')
      await client.query(
        `update ll.field_test set raw = raw || ' ', raw_sha256 = sha256(raw || ' ') where tested_on = '2026-06-04'`,
      )
      await client.query('alter table ll.field_test enable always trigger append_only')
    })
    const report = await verify((await download('firmA', `bundle/${id}`)).file)
    expect(report.problems.map(({ code }) => code)).toEqual(['raw-changed'])
  })
})

describe('a bundle of many tests', () => {
  test('named by id verifies, with one checkpoint and one proof', async () => {
    const { status, file, headers } = await download('firmA', 'bundles', { tests: [tests[2], tests[0]] })
    expect([status, headers['content-disposition']]).toEqual([200, 'attachment; filename="tests.liftledger-bundle"'])
    const report = await verify(file)
    expect([report.ok, report.tests.map(({ id }) => id)]).toEqual([true, [tests[0], tests[2]]])
  })

  test('named by days holds those days', async () => {
    const { file } = await download('auditor', 'bundles', { testedFrom: '2026-05-13', testedTo: '2026-06-01' })
    const report = await verify(file)
    expect([report.ok, report.tests.map(({ id }) => id)]).toEqual([true, [tests[1], tests[2]]])
  })

  test('of more than one portion is whole', async () => {
    const bodies = Array.from({ length: 120 }, () => sheetWith({ '/testedOn': '2026-07-01' }))
    await Promise.all(bodies.map((body) => service.call('firmA', 'POST /v1/tests', { body })))
    const report = await verify((await download('firmA', 'bundles', { testedFrom: '2026-07-01' })).file)
    expect([report.ok, report.counts.tests, report.counts.identical]).toEqual([true, 120, 120])
  })

  test('names the tests that are not to be seen, and holds nothing then', async () => {
    const other = await download('firmB', 'bundles', { tests: [tests[0]] })
    expect(other.status).toBe(422)
    expect(JSON.parse(other.text)).toMatchObject({
      code: 'reference-not-found',
      errors: [{ pointer: '/tests/0', code: 'not-visible' }],
    })
    const none = await download('firmB', 'bundles', { testedFrom: '2026-05-12' })
    expect(none.status).toBe(404)
    expect((await download('firmA', 'bundles', { tests: [tests[0]], testedTo: '2026-05-12' })).status).toBe(400)
    const all = await download('firmA', 'bundles', {})
    expect(all.status).toBe(400)
    expect(String(all.file)).toContain('testedFrom')
  })
})

describe('of a test that a later version took the place of', () => {
  let chain: string[]
  beforeAll(async () => {
    const first = await submit('2026-08-01')
    const reviseBy = async (id: string, pressure: number): Promise<string> => {
      const body = sheetWith({ '/testedOn': '2026-08-01', '/runs/0/dischargePressure/reading/value': pressure })
      const path = `POST /v1/tests/${id}/revisions?reason=misread` as const
      return (await service.call<{ id: string }>('firmA', path, { body })).body.id
    }
    const second = await reviseBy(first, 43.5)
    const third = await reviseBy(second, 44.5)
    await service.call('firmA', `POST /v1/tests/${third}/withdrawal`, { body: { reason: 'sent-twice' } })
    chain = [first, second, third]
  })

  test('the bundle says so, and what became of that one, without the sheets that were not asked for', async () => {
    const [first, second, third] = chain
    for (const caller of ['firmA', 'auditor', 'keeper'] as const) {
      const { file } = await download(caller, `bundle/${first}`)
      const report = await verify(file)
      expect([report.ok, report.tests.map(({ id }) => id)]).toEqual([true, [first]])
      expect(report.counts.kinds).toEqual({ test: 1, revision: 2, withdrawal: 1 })
      expect(file.toString('utf8')).toContain(`"revises":"${first}"`)
    }
    const ofLast = await verify((await download('firmA', `bundle/${third}`)).file)
    expect(ofLast.counts.kinds).toEqual({ revision: 1, withdrawal: 1 })
    const both = await verify((await download('firmA', 'bundles', { tests: [second, first] })).file)
    expect([both.ok, both.tests.map(({ id }) => id)]).toEqual([true, [first, second]])
    expect(both.counts.kinds).toEqual({ test: 1, revision: 2, withdrawal: 1 })
  })

  test('so do the entries about it, page by page', async () => {
    const [first, second, third] = chain
    const url = `GET /v1/ledger/entries?test=${first}&limit=3` as const
    const { body } = await service.call<{ items: { kind: string; test: string }[]; next: string }>('auditor', url)
    expect(body.items.map(({ kind, test: about }) => [kind, about])).toEqual([
      ['test', first],
      ['revision', second],
      ['revision', third],
    ])
    const rest = await service.call<typeof body>('auditor', `${url}&cursor=${body.next}`)
    expect(rest.body.items.map(({ kind, test: about }) => [kind, about])).toEqual([['withdrawal', third]])
  })
})
