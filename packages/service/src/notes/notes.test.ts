import { createHash } from 'node:crypto'
import { canonicalBytes } from '@liftledger/ledger'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { beforeRepair, registerForVisits, submitVisit } from '../../../../tests/setup/visits.ts'
import { connect } from '../db/testing.ts'
import { uuidOf } from '../http/ids.ts'
import type { Note } from './schemas.ts'

let service: TestService
let testId = ''
beforeAll(async () => {
  service = await startTestService()
  await registerForVisits(service, 'firmA', true)
  testId = await submitVisit(service, 'firmA', beforeRepair)
})
afterAll(() => service.close())

type Page<T> = { items: T[]; next?: string }

const remark = { kind: 'remark', text: 'Zephyrine Holloway asks for a call: 555-0147.' }
const contact = { kind: 'contact', role: 'grower', name: 'Osric Penhallow', telephone: '555-0182' }
const PERSONAL = /Zephyrine|Holloway|555-0147|Osric|Penhallow|555-0182/

const write = (body: object, id = testId) => service.call<Note>('firmA', `POST /v1/tests/${id}/notes`, { body })
const listed = async (caller: 'firmA' | 'auditor' = 'firmA') =>
  (await service.call<Page<Note>>(caller, `GET /v1/tests/${testId}/notes`)).body.items
const sha256 = (...parts: Uint8Array[]) => createHash('sha256').update(Buffer.concat(parts)).digest('hex')

interface EntryRow {
  readonly index: number
  readonly kind: string
  readonly entry: Buffer
  readonly leaf_hash: Buffer
}
const ledger = async (): Promise<EntryRow[]> => {
  const database = await connect(service.databaseUrl)
  const { rows } = await database.query('select index::int, kind, entry, leaf_hash from ll.ledger_entry order by index')
  return rows
}
const said = ({ entry }: EntryRow) => JSON.parse(entry.toString('utf8')) as Record<string, unknown>

describe('a note', () => {
  test('is kept beside the test, with a salted hash that stands in the ledger', async () => {
    const before = await ledger()
    const kept = await write(contact)
    expect(kept).toMatchObject({ status: 201, body: { testId, content: contact } })
    expect(sha256(Buffer.from(kept.body.salt!, 'hex'), canonicalBytes(contact))).toBe(kept.body.sha256)
    expect(await listed()).toContainEqual(kept.body)

    const [entry, ...more] = (await ledger()).slice(before.length)
    expect(more).toEqual([])
    expect(said(entry!)).toEqual({
      v: 1,
      kind: 'note',
      at: kept.body.createdAt,
      firm: service.firmA,
      subject: testId,
      note: kept.body.id,
      noteSha256: kept.body.sha256,
    })
    // The same words again have another hash: nobody finds them by guessing.
    expect((await write(contact)).body.sha256).not.toBe(kept.body.sha256)
  })

  test.each([
    ['of no kind', { text: 'x' }, '/kind'],
    ['of another kind', { kind: 'gossip', text: 'x' }, '/kind'],
    ['without words', { kind: 'remark' }, '/text'],
    ['with a field of another kind', { kind: 'remark', text: 'x', name: 'y' }, '/name'],
    ['that says nothing of the person', { kind: 'contact', role: 'grower' }, ''],
  ])('%s is refused at its place', async (_, body, pointer) => {
    const before = (await listed()).length
    expect(await write(body)).toMatchObject({ status: 400, body: { errors: [{ pointer }] } })
    expect(await listed()).toHaveLength(before)
  })

  test('is read by its firm and auditors; for programs, keepers and other firms there is none', async () => {
    const { body } = await write(remark)
    await service.call('firmA', `POST /v1/tests/${testId}/programs`, {
      body: {
        programId: service.program,
        consent: { givenAt: '2026-05-04T09:30:00Z', by: 'grower', evidence: 'E-1' },
      },
    })
    expect((await service.call('program', `GET /v1/tests/${testId}`)).status).toBe(200)
    expect(await listed('auditor')).toContainEqual(body)
    for (const caller of ['program', 'keeper', 'admin'] as const) {
      expect((await service.call(caller, `GET /v1/tests/${testId}/notes`)).status).toBe(403)
    }
    const absent = testId.replace(/.$/, (last) => (last === '0' ? '1' : '0'))
    const call = { headers: { 'x-request-id': 'the-same-for-both' } }
    for (const [method, more] of [
      ['GET', {}],
      ['POST', { body: remark }],
    ] as const) {
      const answers = [testId, absent].map((id) =>
        service.call('firmB', `${method} /v1/tests/${id}/notes`, { ...call, ...more }),
      )
      const [foreign, missing] = await Promise.all(answers)
      expect(foreign!.status).toBe(404)
      expect(JSON.stringify(foreign!.body).replaceAll(testId, 'ID')).toBe(
        JSON.stringify(missing!.body).replaceAll(absent, 'ID'),
      )
    }
    expect((await service.call('firmB', `DELETE /v1/tests/${testId}/notes/${body.id}`)).status).toBe(404)
    expect((await service.call('auditor', `DELETE /v1/tests/${testId}/notes/${body.id}`)).status).toBe(403)
    // In the database too, and not even that there is one.
    const program = await connect(service.databaseUrl, 'll_program')
    await program.query("select set_config('app.program', $1, false)", [uuidOf('program', service.program)])
    const { rows } = await program.query('select distinct kind from ledger_entry')
    expect(rows).toEqual([{ kind: 'test' }])
  })

  test('beside another test is not there under this one', async () => {
    const { body } = await write(remark)
    const other = await submitVisit(service, 'firmA', beforeRepair)
    expect((await service.call('firmA', `DELETE /v1/tests/${other}/notes/${body.id}`)).status).toBe(404)
    expect((await service.call<Page<Note>>('firmA', `GET /v1/tests/${other}/notes`)).body.items).toEqual([])
  })

  test('that is written nowhere else: no evaluation, context, sheet, ledger entry or log line holds its words', async () => {
    await write(remark)
    await write(contact)
    const answers = await Promise.all(
      ['', '/results', '/findings', '/trace/overall-plant-efficiency', '/programs'].map((part) =>
        service.call('firmA', `GET /v1/tests/${testId}${part}`),
      ),
    )
    for (const { status, body } of answers) {
      expect(status).toBe(200)
      expect(JSON.stringify(body)).not.toMatch(PERSONAL)
    }
    const database = await connect(service.databaseUrl)
    const { rows: tables } = await database.query<{ name: string }>(
      "select relname as name from pg_class where relnamespace = 'll'::regnamespace and relkind = 'r' and relname <> 'test_note'",
    )
    expect(tables.length).toBeGreaterThan(20)
    for (const { name } of tables) {
      const { rows } = await database.query(`select t.*::text as row from ll.${name} t`)
      for (const { row } of rows) {
        // Bytes come as hexadecimal digits, so the words are looked for in that form too.
        expect(row).not.toMatch(PERSONAL)
        expect(row).not.toMatch(
          new RegExp(['Holloway', 'Penhallow'].map((w) => Buffer.from(w).toString('hex')).join('|')),
        )
      }
    }
    expect(service.log.length).toBeGreaterThan(10)
    expect(service.log.join('\n')).not.toMatch(PERSONAL)
  })
})

describe('erasing', () => {
  test('leaves a hash that says nothing, the test, its trace and its ledger entry as they were', async () => {
    const { body: note } = await write(remark)
    const read = (part: string) => service.call<Record<string, unknown>>('firmA', `GET /v1/tests/${testId}${part}`)
    const traceOf = '/trace/overall-plant-efficiency'
    const [test, trace] = [(await read('')).body, (await read(traceOf)).body]
    const before = await ledger()

    const erased = await service.call<Note>('firmA', `DELETE /v1/tests/${testId}/notes/${note.id}`)
    expect(erased).toMatchObject({ status: 200, body: { id: note.id, sha256: note.sha256 } })
    expect(Object.keys(erased.body).sort()).toEqual(['createdAt', 'erasedAt', 'id', 'sha256', 'testId'])
    for (const caller of ['firmA', 'auditor'] as const) expect(await listed(caller)).toContainEqual(erased.body)

    // The test and its trace are computed anew from what is stored, and are the same to the last bit.
    expect(test.replay).toBe('identical')
    expect((await read('')).body).toEqual(test)
    expect((await read(traceOf)).body).toEqual(trace)

    const after = await ledger()
    expect(after.slice(0, before.length)).toEqual(before)
    expect(after.slice(before.length).map(said)).toEqual([
      {
        v: 1,
        kind: 'note-erased',
        at: erased.body.erasedAt,
        firm: service.firmA,
        subject: testId,
        note: note.id,
        blind: expect.stringMatching(/^[0-9a-f]{32}$/),
      },
    ])
    expect(after.map(({ index }) => index)).toEqual(after.map((_, place) => place))
    for (const { entry, leaf_hash } of after) expect(sha256(Buffer.of(0), entry)).toBe(leaf_hash.toString('hex'))

    // The entry of the test still follows from sheet, context, evaluation and salt.
    const database = await connect(service.databaseUrl)
    const { rows } = await database.query(
      `select test.raw, test.salt, test.raw_sha256, snapshot.body as context
       from ll.field_test test join ll.context_snapshot snapshot
         on snapshot.firm_id = test.firm_id and snapshot.sha256 = test.context_sha256
       where test.id = $1`,
      [uuidOf('test', testId)],
    )
    const { raw, salt, raw_sha256, context } = rows[0]
    const entry = said(after.find((one) => one.kind === 'test' && said(one).subject === testId)!)
    expect(sha256(raw)).toBe(raw_sha256.toString('hex'))
    expect(entry.rawSha256).toBe(sha256(salt, raw))
    expect(entry.contextSha256).toBe(sha256(salt, context))
    // Of the note nothing is left to compute its hash from.
    const { rows: left } = await database.query('select salt, body from ll.test_note where id = $1', [
      uuidOf('note', note.id),
    ])
    expect(left).toEqual([{ salt: null, body: null }])
  })

  test('again changes nothing, also when asked ten times at once', async () => {
    const { body: note } = await write(remark)
    const before = (await ledger()).length
    const erase = () => service.call<Note>('firmA', `DELETE /v1/tests/${testId}/notes/${note.id}`)
    const answers = await Promise.all(Array.from({ length: 10 }, erase))
    for (const answer of answers) expect(answer).toEqual({ ...answer, status: 200, body: answers[0]!.body })
    expect(await erase()).toMatchObject({ body: answers[0]!.body })
    expect((await ledger()).length).toBe(before + 1)
  })
})

test('many notes and tests at once leave no gap in the ledger', async () => {
  await Promise.all([
    ...Array.from({ length: 20 }, (_, n) => write({ kind: 'remark', text: `Invented ${n}` })),
    ...Array.from({ length: 5 }, () => submitVisit(service, 'firmA', beforeRepair)),
  ])
  const rows = await ledger()
  expect(rows.map(({ index }) => index)).toEqual(rows.map((_, place) => place))
})
