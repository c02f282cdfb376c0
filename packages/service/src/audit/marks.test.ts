/** The audit of what comparing leans on: the marks of readings, and that no test was passed over. */
import { beforeEach, expect, test } from 'vitest'
import { atFirstPlant, compareAll, eachWithFirst, firstSheet, submitBy } from '../../../../tests/setup/comparing.ts'
import type { TestService } from '../../../../tests/setup/service.ts'
import { fromWire } from '../http/ids.ts'
import { auditDatabase } from './audit.ts'

const { service: current, sql } = eachWithFirst()
let service: TestService
beforeEach(() => {
  service = current()
})

const audited = async () => (await auditDatabase(service.databaseUrl)).findings

async function withoutGuard(table: string, change: () => Promise<unknown>): Promise<void> {
  await sql(`alter table ll.${table} disable trigger append_only`)
  await change()
  await sql(`alter table ll.${table} enable always trigger append_only`)
}

test('a mark that is gone, another one, and one that belongs to no test are told with their rows', async () => {
  const first = await submitBy(service, 'firmA', firstSheet)
  const second = await submitBy(service, 'firmA', atFirstPlant)
  await compareAll(service)
  expect(await audited()).toEqual([])
  const marks = await sql<{ hash: string; ordinal: string }>(
    'select hash::text, ordinal::text from ll.reading_window where ordinal = 0 order by hash limit 2',
  )
  const [gone, changed] = marks.map(({ hash }) => hash)
  await withoutGuard('reading_window', async () => {
    await sql('delete from ll.reading_window where hash = $1 and ordinal = 0', [gone])
    await sql('update ll.reading_window set hash = 7 where hash = $1 and ordinal = 0', [changed])
    await sql('insert into ll.reading_window (hash, ordinal) values (8, 900)')
  })
  const found = await audited()
  expect(new Set(found.map(({ code }) => code))).toEqual(new Set(['comparison-marks-wrong']))
  expect(found.map(({ table, row }) => [table, row]).toSorted()).toEqual(
    [`${gone}/0`, `${changed}/0`, '7/0', '8/900'].map((row) => ['reading_window', row]).toSorted(),
  )
  expect(found.filter(({ message }) => message.includes(first.id))).toHaveLength(3)
  expect(found.filter(({ message }) => message.includes(second.id))).toEqual([])
})

test('a test whose bytes were others while it was passed over is told of when they are put back', async () => {
  const spoiled = await submitBy(service, 'firmA', firstSheet)
  const id = fromWire('test', spoiled.id)
  const put = (raw: Buffer) =>
    withoutGuard('field_test', () =>
      sql('update ll.field_test set raw = $2, raw_sha256 = sha256($2) where id = $1', [id, raw]),
    )
  const [{ raw }] = (await sql<{ raw: Buffer }>('select raw from ll.field_test where id = $1', [id])) as [
    { raw: Buffer },
  ]
  await put(Buffer.from('{'))
  await submitBy(service, 'firmA', atFirstPlant)
  expect(await compareAll(service)).toMatchObject({ compared: 1, failing: 1 })
  await put(raw)
  expect(await audited()).toMatchObject([{ code: 'comparison-left-out', table: 'record_comparison', row: id }])
  // What was not reached yet is not passed over.
  await submitBy(service, 'firmA', { ...atFirstPlant, testedOn: '2026-06-03' })
  expect(await audited()).toHaveLength(1)
})
