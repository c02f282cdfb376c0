/** A test from its submission to its record: what is answered, what is kept, and what reading it again says. */
import { createHash } from 'node:crypto'
import { editionById, evaluate } from '@liftledger/calc'
import { canonicalBytes } from '@liftledger/ledger'
import { afterAll, beforeAll, beforeEach, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import {
  type Registered,
  registerContext,
  sheetWith,
  storedRows,
  visitContext,
  visitSheet,
} from '../../../../tests/setup/visit.ts'
import { onConnection } from '../db/testing.ts'
import { fromWire } from '../http/ids.ts'
import type { FieldTest } from './schemas.ts'

let service: TestService
let registered: Registered
beforeAll(async () => {
  service = await startTestService()
  registered = await registerContext(service, 'firmA')
})
afterAll(() => service.close())

async function submit(body: unknown = visitSheet): Promise<FieldTest> {
  const answer = await service.call<FieldTest>('firmA', 'POST /v1/tests', { body })
  expect(answer.status).toBe(201)
  return answer.body
}

const read = (id: string, part = '') => service.call<FieldTest>('firmA', `GET /v1/tests/${id}${part}`)
const sha256 = (...parts: readonly Uint8Array[]): Buffer => {
  const hash = createHash('sha256')
  for (const part of parts) hash.update(part)
  return hash.digest()
}
const uuidOf = ({ id }: FieldTest): string => fromWire('test', id)!

/** What the database keeps of a test, past every wall. */
const record = (stored: FieldTest) =>
  onConnection(service.databaseUrl, undefined, async (client) => {
    const { rows } = await client.query<{
      raw: Buffer
      raw_sha256: Buffer
      salt: Buffer
      body: Buffer
      entry: Buffer
      leaf_hash: Buffer
      place: number
      evaluation_sha256: Buffer
      efficiency: number
    }>(
      `select test.*, body, entry, leaf_hash, index::int as place from ll.field_test test
       join ll.context_snapshot snapshot on snapshot.sha256 = context_sha256 join ll.ledger_entry on subject = test.id
       where test.id = $1`,
      [uuidOf(stored)],
    )
    expect(rows).toHaveLength(1)
    return rows[0]!
  })

describe('a submission', () => {
  let stored: FieldTest
  beforeAll(async () => {
    const answer = await service.call<FieldTest>('firmA', 'POST /v1/tests', {
      body: visitSheet,
      headers: { 'idempotency-key': '"field-tests"' },
    })
    stored = answer.body
    expect(answer).toMatchObject({ status: 201, headers: { location: `/v1/tests/${stored.id}` } })
  })

  test('is answered with what the edition makes of sheet and context', () => {
    const evaluation = evaluate(visitSheet, visitContext, editionById(stored.edition)!)
    const { edition, soundness, results, withheld, findings, advice, handChecks } = stored
    const answered = { edition, soundness, results, withheld, findings, advice, handChecks }
    expect(answered).toEqual(evaluation)
    const efficiency = results.find(({ quantity }) => quantity === 'overall-plant-efficiency')!
    expect(efficiency.value).toBeCloseTo(0.67343026, 8)
    expect(efficiency.standardUncertainty).toBeGreaterThan(0)
  })

  test('says whose it is, of what and when, and leads on to its parts', async () => {
    expect(stored).toMatchObject({
      plant: 'AM-01',
      plantId: registered.plantId,
      firmId: service.firmA,
      tester: 'T-01',
      testedOn: '2026-05-12',
      replay: 'identical',
      answeredFrom: 'replay',
      revision: 1,
    })
    const links = Object.entries(stored.links)
    expect(links.map(([name]) => name)).toEqual([
      ...['self', 'results', 'findings', 'trace', 'efficiency', 'sheet', 'context', 'plant', 'versions'],
      ...['recordFindings', 'decisions', 'replay', 'entries', 'bundle'],
    ])
    for (const [, link] of links) {
      const answer = await service.call('firmA', `GET ${link.replace('{quantity}', 'lift')}`)
      expect(answer.status, link).toBe(200)
    }
  })

  test('is read back as it was answered, whole and in parts', async () => {
    const { id, edition, soundness, results, withheld, handChecks, findings, record, advice, replay, answeredFrom } =
      stored
    const from = { test: id, edition, replay, answeredFrom }
    expect((await read(id)).body).toEqual(stored)
    expect((await read(id, '/results')).body).toEqual({ ...from, results, withheld, handChecks })
    expect((await read(id, '/findings')).body).toEqual({ ...from, soundness, findings, record, advice })
  })

  test('has the hash that an evaluation without storing it has', async () => {
    const { body } = await service.call<{ evaluationSha256: string; contextSha256: string }>(
      'firmA',
      'POST /v1/evaluations',
      { body: visitSheet },
    )
    expect(body.evaluationSha256).toBe(stored.evaluationSha256)
    expect(body.contextSha256).toBe(stored.contextSha256)
    const evaluation = evaluate(visitSheet, visitContext, editionById(stored.edition)!)
    expect(sha256(canonicalBytes(evaluation)).toString('hex')).toBe(stored.evaluationSha256)
    expect(sha256(canonicalBytes(visitContext)).toString('hex')).toBe(stored.contextSha256)
  })

  test('is read by auditor and keeper, and by a program only once it was given to it', async () => {
    for (const reader of ['auditor', 'keeper'] as const) {
      expect((await service.call(reader, `GET /v1/tests/${stored.id}`)).body).toEqual(stored)
    }
    const read = () => service.call('program', `GET /v1/tests/${stored.id}`)
    expect((await read()).status).toBe(404)
    const [testId, programId] = [uuidOf(stored), fromWire('program', service.program)!]
    const firmId = fromWire('firm', service.firmA)!
    const principal = { role: 'firm', keyId: 'firmfirmfirm', firmId, scopes: [] } as const
    await service.deps.databases.asPrincipal(principal, (tx) =>
      tx
        .insertInto('test_program')
        .values({
          test_id: testId,
          program_id: programId,
          firm_id: firmId,
          tested_on: stored.testedOn,
          turn: 1,
          consent: 'given',
          consented_at: service.deps.now(),
          key_id: principal.keyId,
        })
        .execute(),
    )
    expect((await read()).body).toEqual(stored)
    expect((await service.call('program', `GET /v1/tests/${stored.id}/trace/lift`)).status).toBe(200)
  })
})

describe('the record of a test', () => {
  test('has the very bytes received, with white space, digits and escapes, under their hash', async () => {
    const body = `\n${JSON.stringify(visitSheet, null, 3)
      .replace('"value": 41.5', '"value" :\t41.500')
      .replace('"value": 118.4', '"value": 1.184E2')
      .replace('"tester": "T-01"', '"tester": "\\u0054-01"')
      .replace('"AM-01"', '"\\u0041M-01"')}\r\n \t`
    for (const written of ['41.500', '1.184E2', '\\u0054', '\\u0041']) expect(body).toContain(written)
    const stored = await submit(body)
    const { raw, raw_sha256 } = await record(stored)
    expect(raw.toString('utf8')).toBe(body)
    expect(raw_sha256).toEqual(sha256(Buffer.from(body)))
    expect(stored.rawSha256).toBe(raw_sha256.toString('hex'))
    expect(stored).toMatchObject({ plant: 'AM-01', tester: 'T-01' })
    expect((await read(stored.id)).body).toEqual(stored)
    // The same readings, however they are written.
    expect(stored.evaluationSha256).toBe((await submit()).evaluationSha256)
  })

  test('is entered in the ledger by salted hashes, under the hash of its leaf', async () => {
    const stored = await submit()
    const { entry, leaf_hash, salt, raw, body: context, place, evaluation_sha256, efficiency } = await record(stored)
    const evaluation = canonicalBytes(evaluate(visitSheet, visitContext, editionById(stored.edition)!))
    const salted = (bytes: Uint8Array) => sha256(salt, bytes).toString('hex')
    const told = {
      v: 1,
      kind: 'test',
      at: stored.receivedAt,
      firm: service.firmA,
      subject: stored.id,
      edition: stored.edition,
      rawSha256: salted(raw),
      contextSha256: salted(context),
      evaluationSha256: salted(evaluation),
    }
    expect(JSON.parse(entry.toString())).toEqual(told)
    expect(entry).toEqual(Buffer.from(canonicalBytes(told)))
    expect(leaf_hash).toEqual(sha256(Buffer.of(0), entry))
    expect(place).toBe(stored.ledgerIndex)
    expect(context).toEqual(Buffer.from(canonicalBytes(visitContext)))
    expect(evaluation_sha256).toEqual(sha256(evaluation))
    expect(efficiency).toBe(stored.results.find(({ quantity }) => quantity === 'overall-plant-efficiency')!.value)
    // Nobody who guesses the sheet finds it by its plain hash.
    expect(entry.toString()).not.toContain(stored.rawSha256)
  })

  test('has salt of its own, so that equal sheets look different in the ledger', async () => {
    const [one, other] = [await record(await submit()), await record(await submit())]
    expect(one.raw).toEqual(other.raw)
    expect(one.salt).not.toEqual(other.salt)
    expect(one.leaf_hash).not.toEqual(other.leaf_hash)
  })

  test('stands in the ledger without gaps, also after refusals, in the order of the answers', async () => {
    const { ledgerIndex } = await submit()
    await service.call('firmA', 'POST /v1/tests', { body: sheetWith({ '/plant': 'AM-99' }) })
    await service.call('firmA', 'POST /v1/tests', { body: '{' })
    expect((await submit()).ledgerIndex).toBe(ledgerIndex + 1)
    const together = await Promise.all(Array.from({ length: 8 }, () => submit()))
    const indexes = together.map((one) => one.ledgerIndex).toSorted((a, b) => a - b)
    expect(indexes).toEqual(Array.from({ length: 8 }, (_, n) => ledgerIndex + 2 + n))
    await onConnection(service.databaseUrl, undefined, async (client) => {
      const { rows } = await client.query(
        'select min(index)::int as first, max(index)::int + 1 as end, count(*)::int as n, (select next::int from ll.ledger_head) from ll.ledger_entry',
      )
      const { n } = rows[0]
      expect(rows).toEqual([{ first: 0, end: n, n, next: n }])
    })
  })

  test('shares its context with other tests that lean on the same records', async () => {
    const before = await storedRows(service)
    const [one, other] = [await submit(), await submit(sheetWith({ '/runs/0/waterTemperature': undefined }))]
    expect(one.contextSha256).toBe(other.contextSha256)
    expect(await storedRows(service)).toMatchObject({ tests: before.tests + 2, contexts: before.contexts })
  })
})

describe('a later change in the registry', () => {
  test.each([
    [
      'of the equipment',
      () => `plants/${registered.plantId}/equipment`,
      { effectiveFrom: '2026-01-01', meterMultiplier: 80, meterConstant: { value: 1.8, unit: 'Wh/rev' } },
    ],
    [
      'of an instrument, which got a certificate',
      () => `instruments/${registered.instrumentIds['gauge-100']}/revisions`,
      {
        effectiveFrom: '2026-04-01',
        resolution: { value: 2, unit: 'psi' },
        accuracy: { percent: 3, of: 'full-scale', stated: 'limit' },
        fullScale: { value: 160, unit: 'psi' },
        certificate: { number: 'C2', validFrom: '2026-04-01', validUntil: '2027-04-01' },
      },
    ],
    [
      'of the tester, who got a qualification',
      () => `testers/${registered.testerId}/qualifications`,
      { code: 'field-tester', validFrom: '2026-01-01', validUntil: '2026-02-01' },
    ],
  ])('%s leaves earlier tests as they were, and is what later ones lean on', async (_, address, body) => {
    const earlier = await submit()
    const trace = await read(earlier.id, '/trace/overall-plant-efficiency')
    expect((await service.call('firmA', `POST /v1/${address()}`, { body })).status).toBe(201)
    expect((await read(earlier.id)).body).toEqual(earlier)
    expect((await read(earlier.id, '/trace/overall-plant-efficiency')).body).toEqual(trace.body)
    const later = await submit()
    expect(later.contextSha256).not.toBe(earlier.contextSha256)
    expect((await read(later.id)).body).toEqual(later)
  })
})

describe('a record that was changed behind the service’s back', () => {
  let stored: FieldTest
  beforeEach(async () => {
    stored = await submit()
  })

  /** As someone who owns the machine could do it: guards off, hash made to fit. */
  const overwrite = (raw: string) =>
    onConnection(service.databaseUrl, undefined, async (client) => {
      await client.query('alter table ll.field_test disable trigger append_only')
      const { rowCount } = await client.query(
        'update ll.field_test set raw = $2, raw_sha256 = sha256($2) where id = $1',
        [uuidOf(stored), Buffer.from(raw)],
      )
      await client.query('alter table ll.field_test enable always trigger append_only')
      expect(rowCount).toBe(1)
    })
  const parts = ['', '/results', '/findings', '/trace/overall-plant-efficiency']

  test('is told to differ, with what was recorded as far as it is kept', async () => {
    await overwrite(JSON.stringify(sheetWith({ '/runs/0/dischargePressure/reading/value': 61.5 })))
    const { status, body } = await read(stored.id)
    expect(status).toBe(200)
    expect(body).toMatchObject({ replay: 'differs', evaluationSha256: stored.evaluationSha256, plant: 'AM-01' })
    const efficiency = stored.results.find(({ quantity }) => quantity === 'overall-plant-efficiency')!.value
    expect(body).toMatchObject({ answeredFrom: 'record', results: [], recorded: { efficiency } })
    for (const part of parts) expect((await read(stored.id, part)).status, part).toBe(200)
  })

  test.each([
    ['no JSON', '{"plant":', 409],
    ['no sheet', '{}', 200],
    ['nothing', 'null', 200],
    ['a unit that is none', JSON.stringify(visitSheet).replaceAll('"psi"', '"psy"'), 200],
    ['a sheet without runs', JSON.stringify({ ...visitSheet, runs: [] }), 200],
    ['a sheet of nobody', JSON.stringify(sheetWith({ '/plant': undefined, '/tester': undefined })), 200],
  ])('to %s is told as such, and is no failure of the service', async (_, raw, status) => {
    await overwrite(raw)
    const whole = await read(stored.id)
    expect(whole.status).toBe(status)
    expect(whole.body).toMatchObject(status === 200 ? { id: stored.id, plant: 'AM-01' } : { code: 'conflict' })
    for (const part of parts) {
      const answer = await read(stored.id, part)
      // There may be nothing to trace, or nothing that can be.
      const allowed = part.startsWith('/trace') && status === 200 ? [200, 404, 409] : [status]
      expect(allowed, `${part} ${JSON.stringify(answer.body)}`).toContain(answer.status)
    }
    expect((await service.call('firmA', 'GET /v1/tests?limit=1')).status).toBe(200)
  })
})
