/** A database that an earlier version made, under the service of today. */

import { verifyBundle } from '@liftledger/sdk/verify'
import { afterAll, beforeAll, describe, expect, onTestFinished, test } from 'vitest'
import { createKey } from '../../packages/service/src/access/create-key.ts'
import { auditDatabase } from '../../packages/service/src/audit/audit.ts'
import { readMigrations } from '../../packages/service/src/db/migrate.ts'
import { onConnection } from '../../packages/service/src/db/testing.ts'
import { toWire } from '../../packages/service/src/http/ids.ts'
import { RecordComparer } from '../../packages/service/src/record-findings/compare.ts'
import type { Service } from '../../packages/service/src/serve.ts'
import { readLog } from '../outsider/verifier.ts'
import { cloneDatabase } from '../setup/database.ts'
import { sheetWith } from '../setup/visit.ts'
import { appliedIn, type EarlierDatabase, earlierDatabase, ORIGIN, startOn } from './earlier-database.ts'
import { dumpRows } from './rows.ts'

const migrations = (await readMigrations()).map(({ name }) => name)

interface NamedFinding {
  readonly id: string
  readonly severity: string
  readonly place: string
}
interface OldTest {
  readonly id: string
  readonly firm: string
  readonly soundness: string
  readonly efficiency: number | null
  readonly findings: readonly NamedFinding[]
  readonly hash: string
}
interface OldEntry {
  readonly entry: Buffer
  readonly kind: string
}

const rowsOf = <R extends object>(url: string, sql: string): Promise<R[]> =>
  onConnection(url, undefined, async (client) => (await client.query<R>(sql)).rows)

const TESTS = `select test.id, firm.name as firm, soundness, efficiency, findings, encode(evaluation_sha256, 'hex') as hash
  from ll.field_test test join ll.firm on firm.id = firm_id order by test.id`
const KEPT_TABLES = ['field_test', 'context_snapshot', 'test_note', 'test_program', 'ledger_entry', 'registry_change']

/** For each of these tables: an expression over all columns that it has now. */
async function columnsOf(url: string): Promise<ReadonlyMap<string, string>> {
  const rows = await rowsOf<{ table: string; columns: string }>(
    url,
    `select table_name as table, string_agg(quote_ident(column_name), ', ' order by ordinal_position) as columns
     from information_schema.columns where table_schema = 'll' group by 1`,
  )
  return new Map(rows.filter(({ table }) => KEPT_TABLES.includes(table)).map((row) => [row.table, row.columns]))
}

/** A digest of every row, in these columns. */
const rowsStored = (url: string, columns: ReadonlyMap<string, string>): Promise<object[]> =>
  rowsOf(
    url,
    [...columns]
      .map(([table, names]) => `select '${table}' as table, md5(row(${names})::text) as row from ll.${table}`)
      .join(' union all '),
  )

const keyIn = ({ keys }: EarlierDatabase, { firm }: OldTest): string =>
  keys[firm.startsWith('Ostrel') ? 'basin' : 'golden']!

/** Ids of the tests that evaluate today as they did then, in order. */
async function identicalTests(database: EarlierDatabase, service: Service): Promise<string[]> {
  const ids: string[] = []
  for (const old of await rowsOf<OldTest>(database.url, TESTS)) {
    const headers = { authorization: `Bearer ${keyIn(database, old)}` }
    const answer = await fetch(`${service.url}/v1/tests/${toWire('test', old.id)}/replay`, { headers })
    if (((await answer.json()) as { outcome: string }).outcome === 'identical') ids.push(old.id)
  }
  expect(ids.length).toBeGreaterThan(0)
  return ids
}

const findingsOf = (answer: Record<string, unknown>): object[] =>
  (answer.findings as (NamedFinding & { run?: number })[]).map(({ id, severity, run, place }) => ({
    id,
    severity,
    ...(run !== undefined && { run }),
    place,
  }))

/** Every number in an answer, wherever it stands. */
function numbersIn(value: unknown): number[] {
  if (typeof value === 'number') return [value]
  return value !== null && typeof value === 'object' ? Object.values(value).flatMap(numbersIn) : []
}

describe('a database of the version before the ledger had a tree', () => {
  let database: EarlierDatabase
  let service: Service
  let oldTests: OldTest[]
  let oldEntries: OldEntry[]
  let columns: ReadonlyMap<string, string>
  let stored: object[]
  const log: string[] = []

  beforeAll(async () => {
    database = await earlierDatabase('database-0010')
    oldTests = await rowsOf<OldTest>(database.url, TESTS)
    oldEntries = await rowsOf<OldEntry>(database.url, 'select entry, kind from ll.ledger_entry order by index')
    columns = await columnsOf(database.url)
    stored = await rowsStored(database.url, columns)
    // What is compared adds entries, of which the last test tells.
    service = await startOn(database.url, log, { RECORD_COMPARISONS: 'off' })
    await service.app.ledger.settle()
  })
  afterAll(async () => {
    await service.stop()
    await database.drop()
  })

  const keyOf = (old: OldTest): string => keyIn(database, old)
  const get = async (key: string, path: string) => {
    const answer = await fetch(`${service.url}${path}`, { headers: { authorization: `Bearer ${key}` } })
    const bytes = Buffer.from(await answer.arrayBuffer())
    return { status: answer.status, bytes, body: () => JSON.parse(bytes.toString()) as Record<string, unknown> }
  }
  const logKey = async (): Promise<string> => {
    const { items } = (await get('', '/v1/ledger/keys')).body() as { items: { key: string }[] }
    return items[0]!.key
  }
  interface Replayed {
    outcome: string
    comparedWith: string
    storedSha256: string
    recomputedSha256: string
    differences: unknown[]
  }
  const replayOf = async (old: OldTest): Promise<Replayed> => {
    const { status, body } = await get(keyOf(old), `/v1/tests/${toWire('test', old.id)}/replay`)
    expect(status).toBe(200)
    return body() as unknown as Replayed
  }

  test('was filled: nine tests of two firms, two notes, a word given and taken back', () => {
    expect(oldTests.map(({ firm }) => firm.split(' ')[0])).toEqual([
      ...Array(3).fill('Ostrel'),
      ...Array(6).fill('Sedgewater'),
    ])
    expect(oldEntries.map(({ kind }) => kind)).toEqual([...Array(9).fill('test'), 'note', 'note', 'note-erased'])
  })

  test('is brought up by the migrations that it lacked, and nothing stored is another', async () => {
    expect(appliedIn(log)).toEqual(migrations.slice(10))
    const now = await rowsStored(database.url, columns)
    expect(stored.length).toBeGreaterThan(60)
    expect(now).toEqual(expect.arrayContaining(stored))
    // What was added is the entry that puts the key of the log in force.
    expect(now).toHaveLength(stored.length + 1)
  })

  test('has a log over all its entries, signed, as somebody with the standards alone reads it', async () => {
    const { key: auditor } = await createKey(service.deps, { role: 'auditor', name: 'auditor of the upgrade' })
    const seen = await readLog({
      base: `${service.url}/v1/ledger`,
      verifierKey: await logKey(),
      authorization: `Bearer ${auditor}`,
    })
    expect([seen.origin, seen.size]).toEqual([ORIGIN, oldEntries.length + 1])
    expect(seen.entries.slice(0, -1)).toEqual(oldEntries.map(({ entry }) => entry))
    expect(JSON.parse(seen.entries.at(-1)!.toString())).toMatchObject({ key: await logKey() })
  })

  test('is audited with the erasure as that version wrote it, which nothing blinds', async () => {
    const [erasure] = oldEntries.filter(({ kind }) => kind === 'note-erased')
    expect(JSON.parse(erasure!.entry.toString())).not.toHaveProperty('blind')
    const { counts, findings } = await auditDatabase(database.url, { keys: [await logKey()] })
    expect(counts).toMatchObject({ entries: oldEntries.length + 1, notes: 2, erased: 1 })
    // The calculation may have changed since; all else is as it was recorded.
    expect(findings.filter(({ code }) => !['evaluation-differs', 'test-hash-wrong'].includes(code))).toEqual([])
  })

  test('answers for every test as it was recorded, and says where evaluating again gives something else', async () => {
    const outcomes: string[] = []
    for (const old of oldTests) {
      const id = toWire('test', old.id)
      const { status, body } = await get(keyOf(old), `/v1/tests/${id}`)
      expect([id, status]).toEqual([id, 200])
      const answer = body()
      const replay = await replayOf(old)
      expect(answer).toMatchObject({ id, soundness: old.soundness, replay: replay.outcome })
      expect(replay.storedSha256).toBe(old.hash)
      // Identical if and only if the hash is.
      expect(replay.recomputedSha256 === old.hash).toBe(replay.outcome === 'identical')
      // That version kept no documents: what differs is told as far as the record goes, and that it goes no further.
      expect(replay.comparedWith).toBe(replay.outcome === 'identical' ? 'replay' : 'record')
      expect(answer.answeredFrom).toBe(replay.comparedWith)
      expect(findingsOf(answer)).toEqual(old.findings)
      outcomes.push(replay.outcome)
      if (old.efficiency !== null) expect(numbersIn(answer)).toContain(old.efficiency)
    }
    // The last was chosen for that: one of its findings has got other words since. Its edition is in use nowhere yet, and has
    // got results since that all of them lack; a sheet sent today comes out the same, as the test of new sheets says.
    expect(outcomes.at(-1)).toBe('differs')
  })

  test('answers on every path that its tests name, and in its lists', async () => {
    for (const old of oldTests) {
      const self = `/v1/tests/${toWire('test', old.id)}`
      const { links } = (await get(keyOf(old), self)).body() as { links: Record<string, string> }
      const paths = Object.values(links).map((path) => path.replace('{quantity}', 'overall-plant-efficiency'))
      for (const path of [...paths, `${self}/notes`, `${self}/programs`]) {
        const { status } = await get(keyOf(old), path)
        // A quantity that was withheld has no trace.
        expect([path, status]).toEqual([path, path.includes('/trace/') && status === 404 ? 404 : 200])
      }
    }
    for (const noun of ['tests', 'plants', 'testers', 'instruments']) {
      const { status, body } = await get(database.keys.golden!, `/v1/${noun}`)
      expect([noun, status, (body().items as unknown[]).length > 0]).toEqual([noun, 200, true])
    }
  })

  test('gives bundles that verify offline: whole without the calculation, and with it but for the evaluation', async () => {
    const keys = [await logKey()]
    for (const old of oldTests) {
      const { status, bytes } = await get(keyOf(old), `/v1/ledger/bundle/${toWire('test', old.id)}`)
      expect(status).toBe(200)
      const proven = await verifyBundle(bytes, { keys, replay: false })
      expect([proven.ok, proven.problems, proven.counts.tests]).toEqual([true, [], 1])
      const replayed = await verifyBundle(bytes, { keys })
      const expected = (await replayOf(old)).outcome === 'identical' ? [] : ['evaluation-differs']
      expect(replayed.problems.map(({ code }) => code)).toEqual(expected)
    }
  })

  test('keeps what was erased erased, and what was taken back taken back', async () => {
    const [first, second, third] = oldTests as [OldTest, OldTest, OldTest]
    const itemsOf = async (old: OldTest, part: string) =>
      (await get(keyOf(old), `/v1/tests/${toWire('test', old.id)}/${part}`)).body().items as Record<string, unknown>[]
    expect(await itemsOf(first, 'notes')).toMatchObject([{ content: { text: 'Gate opens to the left.' } }])
    const [erased] = await itemsOf(second, 'notes')
    expect(erased).toHaveProperty('erasedAt')
    expect(erased).not.toHaveProperty('content')
    expect((await itemsOf(first, 'programs')).map(({ consent }) => consent)).toEqual(['given'])
    expect((await itemsOf(third, 'programs')).map(({ consent }) => consent)).toEqual(['given', 'withdrawn'])
  })

  test('takes new sheets, corrections and withdrawals of old tests, with keys of then', async () => {
    const first = oldTests[0]!
    const post = async (path: string, body: unknown) => {
      const answer = await fetch(`${service.url}${path}`, {
        method: 'POST',
        headers: { authorization: `Bearer ${database.keys.basin}`, 'content-type': 'application/json' },
        body: JSON.stringify(body),
      })
      return { status: answer.status, body: (await answer.json()) as Record<string, unknown> }
    }
    const sheet = sheetWith({ '/testedOn': '2026-05-12' })
    const submitted = await post('/v1/tests', sheet)
    expect(submitted).toMatchObject({ status: 201, body: { replay: 'identical', ledgerIndex: oldEntries.length + 1 } })
    const replayed = await get(database.keys.basin!, `/v1/tests/${submitted.body.id}/replay`)
    expect(replayed.body()).toMatchObject({ outcome: 'identical' })
    const self = `/v1/tests/${toWire('test', first.id)}`
    const raw = `select convert_from(raw, 'UTF8') as raw from ll.field_test where id = '${first.id}'`
    const old = JSON.parse((await rowsOf<{ raw: string }>(database.url, raw))[0]!.raw) as Record<string, unknown>
    const economics = { energyRate: { value: 0.17, unit: 'USD/kWh' } }
    const revised = await post(`${self}/revisions?reason=mistyped`, { ...old, economics })
    expect(revised.status).toBe(201)
    expect((await post(`/v1/tests/${revised.body.id}/withdrawal`, { reason: 'practice' })).status).toBe(201)
    const { versions } = (await get(keyOf(first), `${self}/versions`)).body() as { versions: { id: string }[] }
    expect(versions.map(({ id }) => id)).toEqual([toWire('test', first.id), revised.body.id])
    const bundle = await get(keyOf(first), `/v1/ledger/bundle/${revised.body.id}`)
    expect((await verifyBundle(bundle.bytes, { keys: [await logKey()] })).problems).toEqual([])
  })

  test('has every test compared with what stood before it, those of then in their order', async () => {
    const stored = await rowsOf<{ id: string }>(
      database.url,
      `select subject as id from ll.ledger_entry where kind in ('test', 'revision') order by index`,
    )
    const comparer = new RecordComparer({ ...service.deps, ledger: service.app.ledger })
    while (await comparer.step());
    expect(comparer.counts).toMatchObject({ compared: stored.length, failing: 0 })
    expect(await rowsOf(database.url, 'select test_id as id from ll.record_comparison order by ordinal')).toEqual(
      stored,
    )
    for (const old of oldTests) {
      const answer = (await get(keyOf(old), `/v1/tests/${toWire('test', old.id)}`)).body()
      expect(answer.record).toMatchObject({ compared: true })
    }
    await service.app.ledger.settle()
    const { counts, findings } = await auditDatabase(database.url, { keys: [await logKey()] })
    expect(counts).toMatchObject({ comparisons: stored.length })
    expect(findings.filter(({ code }) => !['evaluation-differs', 'test-hash-wrong'].includes(code))).toEqual([])
  })
})

describe('a database of today', () => {
  test('is left as it is by starting again', async () => {
    const database = await earlierDatabase('database-0010')
    onTestFinished(database.drop)
    const first = await startOn(database.url)
    const sheet = JSON.stringify(sheetWith({ '/testedOn': '2026-05-12' }))
    const headers = { authorization: `Bearer ${database.keys.basin}`, 'content-type': 'application/json' }
    expect((await fetch(`${first.url}/v1/tests`, { method: 'POST', headers, body: sheet })).status).toBe(201)
    await first.app.ledger.settle()
    // The work in the background comes to its end: each evaluation that comes out the same is kept beside its test.
    const identical = await identicalTests(database, first)
    const kept = `select test_id::text as id from ll.evaluation_document order by 1`
    await expect
      .poll(async () => (await rowsOf<{ id: string }>(database.url, kept)).map(({ id }) => id), { timeout: 20_000 })
      .toEqual(identical)
    const compared = 'select test_id from ll.record_comparison'
    const tests = await rowsOf(database.url, 'select id from ll.field_test')
    await expect.poll(async () => (await rowsOf(database.url, compared)).length, { timeout: 20_000 }).toBe(tests.length)
    await first.app.ledger.settle()
    await first.stop()
    const before = await dumpRows(database.url)
    const log: string[] = []
    const again = await startOn(database.url, log)
    await again.app.ledger.settle()
    await again.stop()
    expect(appliedIn(log)).toEqual([])
    expect(await dumpRows(database.url)).toBe(before)
  })

  test('is not opened where a migration of its past is not the one that came with the code', async () => {
    const database = await cloneDatabase()
    onTestFinished(database.drop)
    const spoil = `update ll.migration set sha256 = encode(sha256(convert_to(sha256, 'UTF8')), 'hex') where name = '0004-ledger.sql'`
    await onConnection(database.url, undefined, (client) => client.query(spoil))
    const before = await dumpRows(database.url)
    await expect(startOn(database.url)).rejects.toThrow(/0004-ledger\.sql was changed after it was applied/)
    expect(await dumpRows(database.url)).toBe(before)
  })
})
