/** Comparing with the record: once each, whoever dies meanwhile; the same whenever it is done; and for good. */
import { type Context, editionById, evaluate, type Sheet } from '@liftledger/calc'
import { canonicalBytes, parseVerifierKey, verifyBundle } from '@liftledger/ledger'
import { Registry } from 'prom-client'
import { beforeEach, describe, expect, test } from 'vitest'
import {
  atFirstPlant,
  compareAll,
  comparerOf,
  eachWithFirst,
  firstContext,
  firstSheet,
  reusedContext,
  reusedSheet,
  submitBy,
} from '../../../../tests/setup/comparing.ts'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext } from '../../../../tests/setup/visit.ts'
import { auditDatabase } from '../audit/audit.ts'
import { POOL_ROLES } from '../db/roles.ts'
import { onConnection } from '../db/testing.ts'
import type { FieldTest } from '../field-tests/schemas.ts'
import { fromWire } from '../http/ids.ts'
import { measureComparisons } from '../http/metrics.ts'
import { compareWithRecord } from './run.ts'
import type { RecordFindings } from './schemas.ts'

const { service: current, get, read, sql } = eachWithFirst()
let service: TestService
beforeEach(() => {
  service = current()
})

describe('comparing', () => {
  const stored = () =>
    sql<{ of: string; ordinal: number; entries: number }>(
      `select test_id as of, ordinal::int, (select count(*)::int from ll.ledger_entry entry
         where entry.subject = test_id and entry.kind = 'record-findings') as entries
       from ll.record_comparison order by ordinal`,
    )
  /** More than go into one batch, some of them alike. */
  async function many(): Promise<FieldTest[]> {
    const sent: FieldTest[] = []
    for (let n = 0; n < 40; n++)
      sent.push(
        await submitBy(service, 'firmA', {
          ...firstSheet,
          testedOn: `2026-05-${String(1 + (n % 28)).padStart(2, '0')}`,
        }),
      )
    return sent
  }
  const inOrder = (sent: readonly FieldTest[]) =>
    sent.map(({ id }, ordinal) => ({ of: fromWire('test', id), ordinal, entries: 1 }))
  /** Of each test what was found, and against which of them, by their numbers. */
  const told = async (url: string, sent: readonly FieldTest[]): Promise<object[]> => {
    const rows = await onConnection(url, undefined, async (client) => {
      const { rows } = await client.query<{ of: string; finding: string; against: string[] }>(
        `select found.test_id as of, finding, against::text[] as against
         from ll.record_finding found join ll.record_finding_basis using (test_id, n) order by found.test_id, n`,
      )
      return rows
    })
    const number = new Map(sent.map(({ id }, n) => [fromWire('test', id)!, n]))
    return rows.map(({ of, finding, against }) => [number.get(of), finding, against.map((id) => number.get(id))])
  }

  test('gives each test one row and one entry, by two processes as by one, whenever either dies', async () => {
    const sent = await many()
    class Death extends Error {}
    let left = 0
    const dying = (): void => {
      if (left-- <= 0) throw new Death()
    }
    // Before anything is stored, and after it was.
    for (const steps of [0, 1]) {
      left = steps
      await expect(compareAll(service, dying)).rejects.toThrow(Death)
      expect(await stored()).toHaveLength(steps * 32)
    }
    await Promise.all([compareAll(service), compareAll(service), compareAll(service)])
    expect(await stored()).toEqual(inOrder(sent))
    expect(await compareAll(service)).toMatchObject({ compared: 0 })
    const { findings } = await auditDatabase(service.databaseUrl)
    expect(findings).toEqual([])
  })

  test('finds the same in one go, one by one, and when all of it is done again', async () => {
    const sent = await many()
    await compareAll(service)
    const atOnce = await told(service.databaseUrl, sent)
    expect(atOnce.length).toBeGreaterThan(10)
    const rows = () => sql('select test_id, n, finding, message, figures::text from ll.record_finding order by 1, 2')
    const before = await rows()
    for (const table of ['record_finding_basis', 'record_finding', 'record_comparison', 'reading_window'])
      await sql(`alter table ll.${table} disable trigger all`).then(() => sql(`delete from ll.${table}`))
    for (const table of ['record_finding_basis', 'record_finding', 'record_comparison', 'reading_window'])
      await sql(`alter table ll.${table} enable trigger all`)
    await compareAll(service)
    expect(await rows()).toEqual(before)
    // One at a time, as tests come in.
    const other = await startTestService()
    try {
      await registerContext(other, 'firmA', firstContext)
      const alone: FieldTest[] = []
      const comparer = comparerOf(other)
      for (const { testedOn } of sent) {
        alone.push(await submitBy(other, 'firmA', { ...firstSheet, testedOn }))
        await comparer.step()
      }
      expect(await told(other.databaseUrl, alone)).toEqual(atOnce)
    } finally {
      await other.close()
    }
  })

  test('is no part of a submission; in the background it rests after each test as its pace says', async () => {
    const sent = [await submitBy(service, 'firmA', firstSheet), await submitBy(service, 'firmA', atFirstPlant)]
    expect(await stored()).toEqual([])
    expect(await sql('select from ll.reading_window')).toEqual([])
    const rests: number[] = []
    const paced = comparerOf(service)
    await paced.step(async (busyMs) => void rests.push(busyMs))
    expect(rests).toHaveLength(sent.length)
    expect(Math.min(...rests)).toBeGreaterThan(0)
    const running = compareWithRecord({ ...service.deps, ledger: service.app.ledger })
    const later = await submitBy(service, 'firmA', { ...atFirstPlant, testedOn: '2026-06-03' })
    await expect
      .poll(async () => (await read('firmA', later)).record.compared, { timeout: 20_000, interval: 100 })
      .toBe(true)
    await running.stop()
    const registry = new Registry()
    measureComparisons(registry, running.comparer.counts)
    const told = await registry.metrics()
    for (const [name, count] of Object.entries(running.comparer.counts))
      expect(told).toContain(`liftledger_record_comparisons_${name} ${count}\n`)
  })

  test('is stored for good, whoever tries to change it, and written by nobody else', async () => {
    await submitBy(service, 'firmA', firstSheet)
    await submitBy(service, 'firmA', atFirstPlant)
    await compareAll(service)
    const columns = {
      record_comparison: 'holds',
      record_finding: 'n',
      record_finding_basis: 'n',
      reading_window: 'ordinal',
    }
    for (const [table, column] of Object.entries(columns)) {
      expect(await sql(`select from ll.${table}`)).not.toHaveLength(0)
      for (const deed of [
        `update ll.${table} set ${column} = ${column}`,
        `delete from ll.${table}`,
        `truncate ll.${table} cascade`,
      ]) {
        await expect(sql(deed), deed).rejects.toThrow(/append-only/)
        for (const role of POOL_ROLES) {
          const asRole = onConnection(service.databaseUrl, role, (client) => client.query(deed))
          await expect(asRole, `${role}: ${deed}`).rejects.toThrow(/permission denied/)
        }
      }
      for (const role of POOL_ROLES.filter((one) => one !== 'll_writer')) {
        const deed = `insert into ll.${table} default values`
        const asRole = onConnection(service.databaseUrl, role, (client) => client.query(deed))
        await expect(asRole, `${role}: ${deed}`).rejects.toThrow(/permission denied/)
      }
    }
  })

  test('puts the hash of what was found into the ledger, and what it is over into a bundle', async () => {
    await registerContext(service, 'firmB', reusedContext)
    const first = await submitBy(service, 'firmA', firstSheet)
    const second = await submitBy(service, 'firmB', reusedSheet)
    await compareAll(service)
    await service.app.ledger.settle()
    const { items } = await get<{ items: { key: string }[] }>('nobody', '/v1/ledger/keys')
    const keys = [parseVerifierKey(items[0]!.key)]
    const replay = (raw: Uint8Array, context: Uint8Array, edition: string) => {
      const parse = <T>(bytes: Uint8Array): T => JSON.parse(Buffer.from(bytes).toString('utf8')) as T
      return canonicalBytes(evaluate(parse<Sheet>(raw), parse<Context>(context), editionById(edition)!))
    }
    const bundle = async (firm: 'firmA' | 'firmB', { id }: FieldTest) => {
      const { rawPayload } = await service.app.inject({
        url: `/v1/ledger/bundle/${id}`,
        headers: { authorization: `Bearer ${service.keys[firm]}` },
      })
      return rawPayload
    }
    const file = await bundle('firmB', second)
    const { sha256, findings } = await get<RecordFindings>('firmB', `/v1/tests/${second.id}/record-findings`)
    expect(file.includes(`"findingsSha256":"${sha256}"`)).toBe(true)
    const report = await verifyBundle(file, { keys, replay })
    expect(report.problems).toEqual([])
    expect(report.counts.kinds).toEqual({ test: 1, 'record-findings': 1 })
    expect(report.tests[0]!.later).toMatchObject([
      {
        kind: 'record-findings',
        test: second.id,
        found: findings!.map(({ id, severity }) => ({ finding: id, severity })),
      },
    ])
    expect(report.counts.caveats).toMatchObject({ inQuestion: 1 })
    const clean = await verifyBundle(await bundle('firmA', first), { keys, replay })
    expect(clean).toMatchObject({ ok: true, counts: { kinds: { 'record-findings': 1 }, caveats: { inQuestion: 0 } } })
    // A word of it changed is told.
    const changed = Buffer.from(file.toString('latin1').replace('"severity":"hold"', '"severity":"note"'), 'latin1')
    expect((await verifyBundle(changed, { keys, replay })).problems).toMatchObject([{ code: 'findings-changed' }])
  })
})
