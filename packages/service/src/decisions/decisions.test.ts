/** Decisions on findings: by whom, on what, and what they make of a test. */
import { createHash } from 'node:crypto'
import { canonicalBytes } from '@liftledger/ledger'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, sheetWith, visitSheet } from '../../../../tests/setup/visit.ts'
import { connect } from '../db/testing.ts'
import type { FieldTest, TestSummary } from '../field-tests/schemas.ts'
import { fromWire } from '../http/ids.ts'
import type { FindingDecision, FindingToDecide } from './schemas.ts'

let service: TestService
let secondProgram = { id: '', key: '' }
beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  const program = { body: { name: 'Second Program (invented)' } }
  const { body } = await service.call<{ id: string }>('admin', 'POST /v1/programs', program)
  const key = { role: 'program', programId: body.id, name: 'Reader of the second program' }
  const made = await service.call<{ key: string }>('admin', 'POST /v1/keys', { body: key })
  secondProgram = { id: body.id, key: made.body.key }
})
afterAll(() => service.close())

const consent = { givenAt: '2026-05-04T09:30:00Z', by: 'grower', evidence: 'E-1' }
const give = (id: string, programId = service.program) =>
  service.call('firmA', `POST /v1/tests/${id}/programs`, { body: { programId, consent } })
const words = { reader: 'R-07', reason: 'Quillon Dray saw the gauge photograph; the needle sits below zero at rest.' }
const PERSONAL = /Quillon|Dray|R-07/

const twoHolds = sheetWith({
  '/runs/0/dischargePressure/reading/value': -3,
  '/runs/0/flow/diameters': (
    visitSheet.runs[0]!.flow as unknown as { diameters: { points: object[] }[] }
  ).diameters.map((diameter) => ({ ...diameter, points: diameter.points.slice(0, 9) })),
})

/** A test in question that the program has. */
async function inQuestion(body: object = twoHolds): Promise<FieldTest> {
  const { body: stored } = await service.call<FieldTest>('firmA', 'POST /v1/tests', { body })
  expect((await give(stored.id)).status).toBe(201)
  return stored
}
const holds = ({ findings }: FieldTest) =>
  findings.filter(({ severity }) => severity === 'hold').map(({ id: finding, run, place }) => ({ finding, run, place }))
type About =
  | Pick<FindingToDecide, 'finding' | 'run' | 'place'>
  | { finding: string; run: number | undefined; place: string }

const decide = (
  id: string,
  about: About,
  outcome: FindingToDecide['outcome'] = 'does-not-stand',
  said: object = words,
) =>
  service.call<FindingDecision>('program', `POST /v1/tests/${id}/decisions`, { body: { ...about, outcome, ...said } })
type Reader = 'firmA' | 'program' | 'auditor' | 'keeper'
const soundness = async (id: string, reader: Reader) => {
  const whole = await service.call<FieldTest>(reader, `GET /v1/tests/${id}`)
  const parts = await service.call<FieldTest>(reader, `GET /v1/tests/${id}/findings`)
  const list = await service.call<{ items: TestSummary[] }>(reader, 'GET /v1/tests?limit=200&versions=all')
  const told = [whole.body, parts.body, list.body.items.find((one) => one.id === id)!].map((one) => one.soundness)
  expect(new Set(told).size).toBe(1)
  return told[0]
}
const listed = async (id: string, reader: Reader = 'program') =>
  (await service.call<{ items: FindingDecision[] }>(reader, `GET /v1/tests/${id}/decisions`)).body.items
const sha256 = (...parts: Uint8Array[]) => createHash('sha256').update(Buffer.concat(parts)).digest()

async function entriesOf(id: string): Promise<{ kind: string; entry: Buffer; leaf_hash: Buffer; index: number }[]> {
  const client = await connect(service.databaseUrl)
  const { rows } = await client.query(
    'select kind, entry, leaf_hash, index::int from ll.ledger_entry where subject = $1 order by index',
    [fromWire('test', id)],
  )
  return rows
}

describe('a hold', () => {
  test('that does not stand is answered; with all of them answered the test is sound for the program', async () => {
    const stored = await inQuestion()
    const open = holds(stored)
    expect(open.length).toBeGreaterThan(1)
    for (const about of open) {
      expect(await soundness(stored.id, 'program')).toBe('in-question')
      expect((await decide(stored.id, about)).status).toBe(201)
    }
    expect(await soundness(stored.id, 'program')).toBe('sound')
    // Without any program, and for another one, the findings alone count.
    for (const reader of ['firmA', 'auditor', 'keeper'] as const)
      expect(await soundness(stored.id, reader)).toBe('in-question')
    await give(stored.id, secondProgram.id)
    const { body } = await service.call<FieldTest>('nobody', `GET /v1/tests/${stored.id}`, {
      headers: { authorization: `Bearer ${secondProgram.key}` },
    })
    expect(body.soundness).toBe('in-question')
  })

  test('that stands makes the test unsound; the newest decision is what counts', async () => {
    const stored = await inQuestion()
    const [first, ...others] = holds(stored)
    for (const about of others) await decide(stored.id, about)
    expect((await decide(stored.id, first!, 'stands')).body.turn).toBe(1)
    expect(await soundness(stored.id, 'program')).toBe('unsound')
    expect((await decide(stored.id, first!, 'does-not-stand')).body.turn).toBe(2)
    expect(await soundness(stored.id, 'program')).toBe('sound')
    expect((await decide(stored.id, first!, 'stands')).body.turn).toBe(3)
    expect(await soundness(stored.id, 'program')).toBe('unsound')
    expect((await listed(stored.id)).filter(({ finding }) => finding === first!.finding)).toHaveLength(3)
  })

  test('is told alike whether the test is held in memory for another reader or not', async () => {
    const stored = await inQuestion()
    for (let round = 0; round < 3; round++) {
      expect(await soundness(stored.id, 'firmA')).toBe('in-question')
      expect(await soundness(stored.id, 'program')).toBe('in-question')
    }
    for (const about of holds(stored)) await decide(stored.id, about)
    for (let round = 0; round < 3; round++) {
      expect(await soundness(stored.id, 'program')).toBe('sound')
      expect(await soundness(stored.id, 'firmA')).toBe('in-question')
    }
  })

  test('decided twice at the same moment has two turns, or one and a conflict', async () => {
    const stored = await inQuestion()
    const [about] = holds(stored)
    const answers = await Promise.all(Array.from({ length: 6 }, () => decide(stored.id, about!)))
    const made = answers.filter(({ status }) => status === 201)
    expect(made.length).toBeGreaterThan(0)
    for (const { status } of answers) expect(status).toBeOneOf([201, 409])
    const turns = (await listed(stored.id)).map(({ turn }) => turn).toSorted((a, b) => a - b)
    expect(turns).toEqual(made.map((_, place) => place + 1))
  })
})

describe('a decision', () => {
  test('stands in the ledger without its words, under their salted hash', async () => {
    const stored = await inQuestion()
    const [about] = holds(stored)
    const { body } = await decide(stored.id, about!, 'stands')
    expect(body).toMatchObject({ testId: stored.id, programId: service.program, outcome: 'stands', words })
    const entries = await entriesOf(stored.id)
    expect(entries.map(({ kind }) => kind)).toEqual(['test', 'finding-decision'])
    const { entry, leaf_hash } = entries[1]!
    expect(sha256(Buffer.of(0), entry)).toEqual(leaf_hash)
    expect(JSON.parse(entry.toString())).toEqual({
      v: 1,
      kind: 'finding-decision',
      at: body.decidedAt,
      firm: service.firmA,
      subject: stored.id,
      program: service.program,
      decision: body.id,
      ...about,
      outcome: 'stands',
      wordsSha256: body.sha256,
    })
    expect(sha256(Buffer.from(body.salt!, 'hex'), canonicalBytes(words)).toString('hex')).toBe(body.sha256)
    expect(entry.toString()).not.toMatch(PERSONAL)
  })

  test('whose words were erased stands as before, and so do its entry and the soundness', async () => {
    const stored = await inQuestion()
    for (const about of holds(stored)) await decide(stored.id, about)
    const [made] = await listed(stored.id)
    const before = await entriesOf(stored.id)
    const erase = () =>
      service.call<FindingDecision>('program', `DELETE /v1/tests/${stored.id}/decisions/${made!.id}/words`)
    const { status, body } = await erase()
    const { words: _words, salt: _salt, ...left } = made!
    expect(status).toBe(200)
    expect(body).toEqual({ ...left, erasedAt: body.erasedAt })
    expect((await erase()).body).toEqual(body)
    const after = await entriesOf(stored.id)
    expect(after.slice(0, before.length)).toEqual(before)
    expect(after.slice(before.length).map(({ kind }) => kind)).toEqual(['finding-decision-erased'])
    expect(JSON.parse(after.at(-1)!.entry.toString())).toMatchObject({ blind: expect.stringMatching(/^[0-9a-f]{32}$/) })
    for (const { entry, leaf_hash } of after) expect(sha256(Buffer.of(0), entry)).toEqual(leaf_hash)
    expect(await soundness(stored.id, 'program')).toBe('sound')
    const client = await connect(service.databaseUrl)
    const { rows } = await client.query('select row::text from ll.finding_decision row where id = $1', [
      fromWire('decision', made!.id),
    ])
    expect(JSON.stringify(rows)).not.toContain(Buffer.from('Quillon').toString('hex'))
    expect(service.log.join('\n')).not.toMatch(PERSONAL)
  })

  test('is about one version: a revision is in question again', async () => {
    const stored = await inQuestion()
    for (const about of holds(stored)) await decide(stored.id, about)
    const address = `POST /v1/tests/${stored.id}/revisions?reason=misread` as const
    const { body: revised } = await service.call<FieldTest>('firmA', address, { body: twoHolds })
    expect(await soundness(stored.id, 'program')).toBe('superseded')
    expect(await soundness(revised.id, 'program')).toBe('in-question')
    const late = await decide(stored.id, holds(stored)[0]!)
    expect(late).toMatchObject({ status: 409, body: { detail: expect.stringContaining(revised.id) } })
    await service.call('firmA', `POST /v1/tests/${revised.id}/withdrawal`, { body: { reason: 'practice' } })
    expect(await decide(revised.id, holds(revised)[0]!)).toMatchObject({ status: 409 })
  })

  test('on a reject, a caution or what is no finding is refused, and says why', async () => {
    const stored = await inQuestion(sheetWith({ '/runs/0/power/timings': [], '/standingLevel': undefined }))
    const of = (severity: string) => {
      const { id: finding, run, place } = stored.findings.find((one) => one.severity === severity)!
      return { finding, run, place }
    }
    const cases: [About, RegExp][] = [
      [of('reject'), /not decided away/],
      [of('caution'), /only a hold/],
      [{ ...of('reject'), finding: 'traverse-points-odd' }, /no finding 'traverse-points-odd'/],
      [{ ...of('reject'), place: '/elsewhere' }, /it has it at place/],
    ]
    const before = await entriesOf(stored.id)
    for (const [about, detail] of cases) {
      expect(await decide(stored.id, about)).toMatchObject({
        status: 409,
        body: { detail: expect.stringMatching(detail) },
      })
    }
    expect(await entriesOf(stored.id)).toEqual(before)
    expect(await soundness(stored.id, 'program')).toBe('unsound')
  })

  test.each([
    ['without a reason', { reader: 'R-07' }, '/reason'],
    ['with a nod for a reason', { reader: 'R-07', reason: 'looks-fine-to-me' }, '/reason'],
    ['by nobody', { reason: words.reason }, '/reader'],
    ['by a name', { reader: 'Quillon Dray', reason: words.reason }, '/reader'],
  ])('%s is refused at its place', async (_, said, pointer) => {
    const stored = await inQuestion()
    const answer = await decide(stored.id, holds(stored)[0]!, 'stands', said)
    expect(answer).toMatchObject({ status: 400, body: { errors: [{ pointer }] } })
    expect(JSON.stringify(answer)).not.toMatch(/must match|must NOT/)
  })

  test('is a program’s that has the test, and of no other role', async () => {
    const stored = await inQuestion()
    const [about] = holds(stored)
    const body = { ...about!, outcome: 'stands', ...words }
    for (const other of ['firmA', 'firmB', 'auditor', 'keeper', 'admin'] as const) {
      expect((await service.call(other, `POST /v1/tests/${stored.id}/decisions`, { body })).status).toBe(403)
    }
    const asSecond = { headers: { authorization: `Bearer ${secondProgram.key}` } }
    const second = await service.call('nobody', `POST /v1/tests/${stored.id}/decisions`, { body, ...asSecond })
    expect(second.status).toBe(404)
    const { body: made } = await decide(stored.id, about!)
    await give(stored.id, secondProgram.id)
    const seen = async () =>
      (await service.call<{ items: unknown[] }>('nobody', `GET /v1/tests/${stored.id}/decisions`, asSecond)).body
    expect((await seen()).items).toEqual([])
    const erase = `DELETE /v1/tests/${stored.id}/decisions/${made.id}/words` as const
    expect((await service.call('nobody', erase, asSecond)).status).toBe(404)
    for (const reader of ['firmA', 'auditor', 'program'] as const)
      expect(await listed(stored.id, reader)).toEqual([made])
    expect((await service.call('firmB', `GET /v1/tests/${stored.id}/decisions`)).status).toBe(404)
  })

  test('is seen in the ledger by the program that made it, and not by another', async () => {
    const stored = await inQuestion()
    await give(stored.id, secondProgram.id)
    await decide(stored.id, holds(stored)[0]!)
    const client = await connect(service.databaseUrl, 'll_program')
    const kinds = async (program: string) => {
      await client.query("select set_config('app.program', $1, false)", [fromWire('program', program)])
      const { rows } = await client.query('select kind from ledger_entry where subject = $1 order by index', [
        fromWire('test', stored.id),
      ])
      return rows.map(({ kind }) => kind)
    }
    expect(await kinds(service.program)).toEqual(['test', 'finding-decision'])
    expect(await kinds(secondProgram.id)).toEqual(['test'])
  })

  test('is neither changed nor removed, past every wall', async () => {
    const stored = await inQuestion()
    const { body } = await decide(stored.id, holds(stored)[0]!)
    const id = fromWire('decision', body.id)
    const client = await connect(service.databaseUrl)
    for (const deed of [
      `update ll.finding_decision set outcome = 'stands' where id = '${id}'`,
      `update ll.finding_decision set words = null, salt = null, erased_at = now(), turn = 9 where id = '${id}'`,
      `update ll.finding_decision set words = '\\x00' where id = '${id}'`,
      `delete from ll.finding_decision where id = '${id}'`,
      'truncate ll.finding_decision cascade',
    ]) {
      await expect(client.query(deed), deed).rejects.toThrow(/append-only|erased once/)
    }
  })
})

describe('a decision on its way while the ledger is held by others', () => {
  /** Holds the head of the ledger until the decision waits for it and `meanwhile` is through. */
  async function whileHeld(
    stored: FieldTest,
    meanwhile: (holder: Awaited<ReturnType<typeof connect>>) => Promise<unknown>,
  ) {
    const holder = await connect(service.databaseUrl)
    await holder.query('begin; select from ll.ledger_head for update')
    const deciding = decide(stored.id, holds(stored)[0]!)
    const watcher = await connect(service.databaseUrl)
    const waiting = `select from pg_stat_activity where datname = current_database() and wait_event_type = 'Lock'`
    while ((await watcher.query(waiting)).rowCount === 0);
    await meanwhile(holder)
    await holder.query('commit')
    return deciding
  }
  const kinds = async (id: string) => (await entriesOf(id)).map(({ kind }) => kind)

  test('is not made any more where the test is taken back', async () => {
    const stored = await inQuestion()
    const call = `POST /v1/tests/${stored.id}/programs/${service.program}/withdrawal` as const
    const takenBack = { body: { withdrawnAt: consent.givenAt } }
    const answer = await whileHeld(stored, async () => {
      expect((await service.call('firmA', call, takenBack)).status).toBe(201)
    })
    expect(answer.status).toBe(404)
    expect(await kinds(stored.id)).toEqual(['test'])
  })

  test('is not made any more where the test is withdrawn', async () => {
    const stored = await inQuestion()
    const answer = await whileHeld(stored, (holder) =>
      holder.query(
        `insert into ll.test_closure (test_id, firm_id, how, reason, key_id, closed_at)
         select id, firm_id, 'withdrawn', 'sent-twice', key_id, now() from ll.field_test where id = $1`,
        [fromWire('test', stored.id)],
      ),
    )
    expect(answer).toMatchObject({ status: 409, body: { detail: expect.stringContaining('withdrawn') } })
    expect(await kinds(stored.id)).toEqual(['test'])
  })

  test('is made where nothing changed meanwhile', async () => {
    const stored = await inQuestion()
    expect((await whileHeld(stored, async () => undefined)).status).toBe(201)
    expect(await kinds(stored.id)).toEqual(['test', 'finding-decision'])
  })
})
