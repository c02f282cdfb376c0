/** Evaluations kept beside their tests, and what answers when the calculation gives others. */
import { execFile } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { zstdDecompressSync } from 'node:zlib'
import { editionById, evaluate } from '@liftledger/calc'
import { canonicalBytes } from '@liftledger/ledger'
import { Registry } from 'prom-client'
import { afterAll, beforeAll, beforeEach, describe, expect, test, vi } from 'vitest'
import { startTestService, TEST_PEPPER, TEST_SIGNING_KEY, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, sheetWith, visitContext, visitSheet } from '../../../../tests/setup/visit.ts'
import { onConnection } from '../db/testing.ts'
import type { TestReplay } from '../field-tests/revision-schemas.ts'
import type { FieldTest } from '../field-tests/schemas.ts'
import { fromWire } from '../http/ids.ts'
import { measureDocuments } from '../http/metrics.ts'
import { restMs } from '../http/paced.ts'
import { DocumentKeeper } from './keep.ts'
import { keepDocuments } from './run.ts'

let service: TestService
beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
})
afterAll(() => service.close())

const submit = async (body: unknown = visitSheet): Promise<FieldTest> =>
  (await service.call<FieldTest>('firmA', 'POST /v1/tests', { body })).body
const sql = <T extends object>(text: string, values: unknown[] = []) =>
  onConnection(service.databaseUrl, undefined, async (client) => (await client.query<T>(text, values)).rows)
const documentOf = async ({ id }: FieldTest) =>
  (
    await sql<{ body: Buffer; encoding: string }>('select * from ll.evaluation_document where test_id = $1', [
      fromWire('test', id),
    ])
  )[0]
const catchUp = async (keeper = new DocumentKeeper(service.deps)) => {
  while (await keeper.step());
  return keeper.counts
}
/** As someone who owns the machine could do it: guards off. */
const tamper = (text: string, { id }: FieldTest, value: unknown) =>
  onConnection(service.databaseUrl, undefined, async (client) => {
    const table = /update (\S+)/.exec(text)![1]
    await client.query(`alter table ${table} disable trigger append_only`)
    expect((await client.query(text, [fromWire('test', id), value])).rowCount).toBe(1)
    await client.query(`alter table ${table} enable always trigger append_only`)
  })

describe('a document', () => {
  test('is the evaluation as recorded, compressed, once for each test', async () => {
    const stored = [await submit(), await submit(sheetWith({ '/standingLevel': undefined }))]
    expect(await documentOf(stored[0]!)).toBeUndefined()
    const { kept, differing, behind } = await catchUp()
    expect({ differing, behind }).toEqual({ differing: 0, behind: 0 })
    expect(kept).toBeGreaterThanOrEqual(2)
    const { body, encoding } = (await documentOf(stored[0]!))!
    const plain = canonicalBytes(evaluate(visitSheet, visitContext, editionById(stored[0]!.edition)!))
    expect(encoding).toBe('zstd')
    expect(zstdDecompressSync(body)).toEqual(Buffer.from(plain))
    expect(body.length).toBeLessThan(plain.length / 2)
    expect(await documentOf(stored[1]!)).toBeDefined()
    expect((await catchUp()).kept).toBe(0)
  })

  test('is kept of revisions too, and of more tests than go into one batch', async () => {
    const first = await submit()
    const { body: revised } = await service.call<FieldTest>(
      'firmA',
      `POST /v1/tests/${first.id}/revisions?reason=misread`,
      {
        body: visitSheet,
      },
    )
    const many = await Promise.all(Array.from({ length: 40 }, () => submit()))
    const keepers = [new DocumentKeeper(service.deps), new DocumentKeeper(service.deps)]
    const counts = await Promise.all(keepers.map((keeper) => catchUp(keeper)))
    // Two at once make each document once.
    expect(counts[0]!.kept + counts[1]!.kept).toBe(42)
    for (const one of [first, revised, ...many]) expect(await documentOf(one)).toBeDefined()
  })

  test('is kept in the background, and leaves at least nineteen parts in twenty to others', async () => {
    const running = keepDocuments(service.deps)
    const stored = await submit()
    await vi.waitFor(async () => expect(await documentOf(stored)).toBeDefined(), { timeout: 10_000, interval: 100 })
    await running.stop()
    expect(running.keeper.counts.differing).toBe(0)
    const registry = new Registry()
    measureDocuments(registry, running.keeper.counts)
    const told = await registry.metrics()
    for (const [name, count] of Object.entries(running.keeper.counts)) {
      expect(told).toContain(`liftledger_evaluation_documents_${name} ${count}\n`)
    }
    expect(restMs(1, 0.5)).toBeCloseTo(19, 9)
    expect(restMs(1, 0)).toBeCloseTo(1, 9)
  })
})

describe('a record whose evaluation is another', () => {
  let stored: FieldTest
  const changed = JSON.stringify(sheetWith({ '/runs/0/dischargePressure/reading/value': 61.5 }))
  const spoil = () =>
    tamper('update ll.field_test set raw = $2, raw_sha256 = sha256($2) where id = $1', stored, Buffer.from(changed))
  const replay = async () => (await service.call<TestReplay>('firmA', `GET /v1/tests/${stored.id}/replay`)).body
  const read = async () => (await service.call<FieldTest>('firmA', `GET /v1/tests/${stored.id}`)).body
  beforeEach(async () => {
    stored = await submit()
  })

  test('replays as identical while nothing is changed', async () => {
    for (const edition of ['', `?edition=${stored.edition}`]) {
      const { body } = await service.call<TestReplay>('firmA', `GET /v1/tests/${stored.id}/replay${edition}`)
      expect(body).toMatchObject({ outcome: 'identical', comparedWith: 'replay', differences: [] })
      expect(body.recomputedSha256).toBe(stored.evaluationSha256)
    }
    expect((await service.call('firmA', `GET /v1/tests/${stored.id}/replay?edition=1999-1`)).status).toBe(400)
  })

  test('is answered from its document, with every difference listed', async () => {
    await catchUp()
    await spoil()
    const whole = await read()
    expect(whole).toEqual({ ...stored, replay: 'differs', answeredFrom: 'document', rawSha256: whole.rawSha256 })
    const told = await replay()
    expect(told).toMatchObject({ outcome: 'differs', comparedWith: 'document', storedSha256: stored.evaluationSha256 })
    // Put into the stored evaluation they give the other one.
    const patched = structuredClone(stored) as unknown as Record<string, unknown>
    for (const { pointer, recomputed } of told.differences) set(patched, pointer, recomputed)
    const again = evaluate(JSON.parse(changed), visitContext, editionById(stored.edition)!)
    expect(patched.results).toEqual(JSON.parse(JSON.stringify(again.results)))
    const results = await service.call('firmA', `GET /v1/tests/${stored.id}/results`)
    expect(results.body).toMatchObject({ replay: 'differs', results: stored.results })
    expect(results.headers['cache-control']).toBe('private, no-cache')
  })

  test('is answered from its row where no document is kept, or a damaged one', async () => {
    await catchUp()
    await spoil()
    for (const damage of ['\\x00', '\\x28b52ffd', '']) {
      await tamper(
        'update ll.evaluation_document set body = $2 where test_id = $1',
        stored,
        Buffer.from(damage, 'latin1'),
      )
      const body = await read()
      const efficiency = stored.results.find(({ quantity }) => quantity === 'overall-plant-efficiency')!
      expect(body).toMatchObject({
        replay: 'differs',
        answeredFrom: 'record',
        results: [],
        recorded: { efficiency: efficiency.value, efficiencyU: efficiency.expandedUncertainty },
      })
      const names = (test: FieldTest) => test.findings.map(({ id, severity, place }) => ({ id, severity, place }))
      expect(names(body)).toEqual(names(stored))
      const told = await replay()
      expect(told).toMatchObject({ outcome: 'differs', comparedWith: 'record' })
      expect(told.differences.map(({ pointer }) => pointer)).toContain('/main/headM')
    }
  })

  test('is counted and told in the log, and keeps nothing and nobody from the next', async () => {
    await spoil()
    const next = await submit()
    const counts = await catchUp()
    expect(counts.differing).toBeGreaterThanOrEqual(1)
    expect(await documentOf(stored)).toBeUndefined()
    expect(await documentOf(next)).toBeDefined()
    expect(service.log.filter((line) => line.includes('replay differs') && line.includes(stored.id))).toHaveLength(1)
  })
})

function set(tree: Record<string, unknown>, pointer: string, value: unknown): void {
  const names = pointer.split('/').slice(1)
  let at = tree
  for (const name of names.slice(0, -1)) at = at[name] as Record<string, unknown>
  at[names.at(-1)!] = value
}

describe('a calculation with one number changed', () => {
  const reader = fileURLToPath(new URL('./reading-process.ts', import.meta.url))

  interface ReadThere {
    readonly [address: string]: { readonly status: number; readonly body: FieldTest & TestReplay }
  }
  /** Reads in a process of its own, whose calculation is changed as it is loaded. */
  const readThere = async (change: object, addresses: readonly string[]): Promise<ReadThere> => {
    const { stdout } = await promisify(execFile)(process.execPath, [reader], {
      env: {
        PATH: process.env.PATH,
        CHANGE: JSON.stringify(change),
        ADDRESSES: JSON.stringify(addresses),
        API_KEY: service.keys.firmA,
        DATABASE_URL: service.databaseUrl,
        KEY_PEPPER: TEST_PEPPER,
        LEDGER_SIGNING_KEY: TEST_SIGNING_KEY,
      },
      maxBuffer: 64 * 1024 * 1024,
    })
    return JSON.parse(stdout) as ReadThere
  }

  test.each([
    ['gravity', { file: 'constants.ts', from: '9.80665', to: '9.80666' }],
    ['a unit', { file: 'units.ts', from: '0.3048', to: '0.3049' }],
    [
      'what fails',
      {
        file: 'evaluate.ts',
        from: 'export function evaluate(',
        to: 'export function evaluate(...[]: never[]): never { throw new TypeError("broken") }\nfunction before(',
      },
    ],
  ])('%s: old tests answer from what was stored and say that the replay differs', async (_, change) => {
    const kept = await submit()
    await catchUp()
    const bare = await submit()
    const parts = ['', '/results', '/findings', '/trace/overall-plant-efficiency', '/replay', '/versions']
    const addresses = [kept, bare].flatMap(({ id }) => parts.map((part) => `/v1/tests/${id}${part}`))
    const there = await readThere(change, [...addresses, '/v1/tests'])
    for (const [address, { status }] of Object.entries(there)) {
      // A trace can't be made where nothing can be evaluated; then it is told so.
      expect(status, address).toBeOneOf(
        address.includes('/trace/') && change.file === 'evaluate.ts' ? [200, 409] : [200],
      )
    }
    const of = (test: FieldTest, part: string) => there[`/v1/tests/${test.id}${part}`]!.body
    expect(of(kept, '')).toEqual({ ...kept, replay: 'differs', answeredFrom: 'document' })
    expect(of(kept, '/results')).toMatchObject({ replay: 'differs', results: kept.results })
    expect(of(kept, '/replay').outcome).toBe(change.file === 'evaluate.ts' ? 'not-evaluable' : 'differs')
    const value = kept.results.find(({ quantity }) => quantity === 'overall-plant-efficiency')!.value
    expect(of(bare, '')).toMatchObject({ replay: 'differs', answeredFrom: 'record', recorded: { efficiency: value } })
    if (change.file !== 'evaluate.ts') {
      expect(of(kept, '/replay').differences.length).toBeGreaterThan(0)
      expect(of(kept, '/trace/overall-plant-efficiency')).toMatchObject({ replay: 'differs', recorded: value })
    }
    // And here, where nothing is changed, they replay.
    expect((await service.call<FieldTest>('firmA', `GET /v1/tests/${bare.id}`)).body).toEqual(bare)
  })
})
