/** What other tests say of a test: found after the commit, in the order of the ledger, and told to who may know. */
import type { Sheet } from '@liftledger/calc'
import { beforeEach, describe, expect, test } from 'vitest'
import {
  atFirstPlant,
  compareAll,
  eachWithFirst,
  firstContext,
  firstSheet,
  reusedContext,
  reusedSheet,
  submitBy,
} from '../../../../tests/setup/comparing.ts'
import type { TestService } from '../../../../tests/setup/service.ts'
import { registerContext } from '../../../../tests/setup/visit.ts'
import type { FieldTest, TestSummary } from '../field-tests/schemas.ts'
import { fromWire } from '../http/ids.ts'
import type { RecordFindings } from './schemas.ts'

const { service: current, get, read, sql } = eachWithFirst()
let service: TestService
beforeEach(() => {
  service = current()
})

/** But that these visits are sent months after they were made. */
const beside = ({ record }: Pick<FieldTest, 'record'>) =>
  record.findings?.filter(({ id }) => id !== 'test-submitted-late')
const found = (test: Pick<FieldTest, 'record'>) => beside(test)?.map(({ id }) => id)
const basisOf = async (caller: Parameters<TestService['call']>[0], { id }: FieldTest) => {
  const { findings = [] } = await get<RecordFindings>(caller, `/v1/tests/${id}/record-findings`)
  return findings.filter(({ id }) => id !== 'test-submitted-late').map(({ basis }) => basis)
}
const consent = { givenAt: '2026-06-04T09:30:00Z', by: 'grower', evidence: 'E-1' }
const give = (firm: 'firmA' | 'firmB', { id }: FieldTest) =>
  service.call(firm, `POST /v1/tests/${id}/programs`, { body: { programId: service.program, consent } })

describe('readings that were used before', () => {
  /** The first visit by one firm, the second to a plant of another. */
  async function reused(): Promise<{ first: FieldTest; second: FieldTest }> {
    await registerContext(service, 'firmB', reusedContext)
    const first = await submitBy(service, 'firmA', firstSheet)
    const second = await submitBy(service, 'firmB', reusedSheet)
    return { first, second }
  }

  test('of a test of another firm’s plant put the later test in question, once it was compared', async () => {
    const { first, second } = await reused()
    expect(second.record).toEqual({ compared: false })
    const before = second.soundness
    expect(before).toBe('sound')
    expect((await read('firmB', second)).record).toEqual({ compared: false })
    expect(await compareAll(service)).toMatchObject({ compared: 2, failing: 0, behind: 0 })
    const now = await read('firmB', second)
    expect(now).toMatchObject({ soundness: 'in-question', findings: second.findings, record: { compared: true } })
    expect(found(now)).toEqual(['readings-reused-from-another-plant'])
    const [finding] = beside(now)!
    expect(finding).toMatchObject({ severity: 'hold', decidedFrom: 'record', message: expect.stringMatching(/^\d+ /) })
    expect(Date.parse(now.record.comparedAt!)).toBeGreaterThanOrEqual(Date.parse(second.receivedAt))
    expect(await read('firmA', first)).toMatchObject({ soundness: 'sound', record: { compared: true } })
    expect(found(await read('firmA', first))).toEqual([])
    const { soundness, record } = await get(`firmB`, `/v1/tests/${second.id}/findings`)
    expect({ soundness, record }).toEqual({ soundness: now.soundness, record: now.record })
    const { items } = await get<{ items: TestSummary[] }>('firmB', '/v1/tests')
    const holds = second.findings.filter(({ severity }) => severity === 'hold').length
    expect(items).toMatchObject([{ soundness: 'in-question', compared: true, findings: { hold: holds + 1 } }])
    const { versions } = await get<{ versions: TestSummary[] }>('firmB', `/v1/tests/${second.id}/versions`)
    expect(versions).toMatchObject([{ soundness: 'in-question' }])
    for (const accept of ['text/plain', 'text/html']) {
      const { body } = await service.call<string>('firmB', `GET /v1/tests/${second.id}/report`, { headers: { accept } })
      expect(body.replaceAll(/\s+/g, ' ')).toContain(finding!.message)
      expect(body).toContain('Compared with other tests in the record on')
    }
  })

  test('are told of without the other test, but to who may read both', async () => {
    const { first, second } = await reused()
    await give('firmB', second)
    await compareAll(service)
    const paths = ['', '/findings', '/record-findings', '/report', '/versions', '/decisions'].map(
      (part) => `/v1/tests/${second.id}${part}`,
    )
    for (const caller of ['firmB', 'program'] as const) {
      expect(await basisOf(caller, second)).toEqual([undefined])
      for (const path of [...paths, '/v1/tests', `/v1/ledger/entries`, `/v1/ledger/bundle/${second.id}`]) {
        const { body } = await service.call<unknown>(caller, `GET ${path}`)
        expect(JSON.stringify(body)).not.toContain(first.id)
        expect(JSON.stringify(body)).not.toContain(service.firmA)
      }
    }
    expect(await basisOf('auditor', second)).toMatchObject([{ against: [first.id] }])
    await give('firmA', first)
    expect(await basisOf('program', second)).toMatchObject([{ against: [first.id] }])
    expect((await service.call('firmA', `GET /v1/tests/${second.id}/record-findings`)).status).toBe(404)
  })

  test('are decided on like any hold: answered, the test is sound for the program', async () => {
    const { second } = await reused()
    await give('firmB', second)
    const decide = (outcome: string, finding = 'readings-reused-from-another-plant', place = '/runs') =>
      service.call(`program`, `POST /v1/tests/${second.id}/decisions`, {
        body: { finding, place, outcome, reader: 'R-07', reason: 'Photographs of the columns show the same digits.' },
      })
    expect((await decide('does-not-stand')).status).toBe(409)
    await compareAll(service)
    const [finding] = (await read('program', second)).record.findings!
    expect((await read('program', second)).soundness).toBe('in-question')
    expect((await decide('stands', finding!.id, finding!.place)).status).toBe(201)
    expect((await read('program', second)).soundness).toBe('unsound')
    expect((await decide('does-not-stand', finding!.id, finding!.place)).status).toBe(201)
    for (let round = 0; round < 2; round++) {
      expect((await read('program', second)).soundness).toBe('sound')
      expect((await read('firmB', second)).soundness).toBe('in-question')
    }
    const { items } = await get<{ items: TestSummary[] }>('program', '/v1/tests')
    expect(items).toMatchObject([{ id: second.id, soundness: 'sound' }])
    const judged = await get<object>('program', `/v1/programs/${service.program}/tests/${second.id}/judgement`)
    expect(JSON.stringify(judged)).toContain(finding!.id)
  })

  test('take a test out of the statistics, also for a program that had decided on it before', async () => {
    await registerContext(service, 'firmB', reusedContext)
    await submitBy(service, 'firmA', firstSheet)
    const [run, ...runs] = reusedSheet.runs
    const reading = { ...run!.dischargePressure!.reading!, value: -3 }
    const negative = { ...run!, dischargePressure: { ...run!.dischargePressure!, reading } }
    const second = await submitBy(service, 'firmB', { ...reusedSheet, runs: [negative, ...runs] } as Sheet)
    await give('firmB', second)
    const holds = second.findings.filter(({ severity }) => severity === 'hold')
    expect(holds.length).toBeGreaterThan(0)
    const decide = async (held: readonly Pick<FieldTest['findings'][number], 'id' | 'run' | 'place'>[]) => {
      for (const { id: finding, run, place } of held) {
        const about = { finding, place, ...(run !== undefined && { run }) }
        const said = { outcome: 'does-not-stand', reader: 'R-07', reason: 'The photograph shows the gauge at rest.' }
        await service.call('program', `POST /v1/tests/${second.id}/decisions`, { body: { ...about, ...said } })
      }
    }
    const counted = async () => {
      const { items } = await get<{ items: { tests: number; leftOut: { inQuestion: number } }[] }>(
        'program',
        '/v1/statistics',
      )
      return items.map(({ tests, leftOut }) => [tests, leftOut.inQuestion])
    }
    await decide(holds)
    expect(await counted()).toEqual([[1, 0]])
    await compareAll(service)
    expect((await read('program', second)).soundness).toBe('in-question')
    expect(await counted()).toEqual([[0, 1]])
    const facts = () =>
      sql('select happened, soundness from ll.test_fact where test_id = $1 order by place', [
        fromWire('test', second.id),
      ])
    expect((await facts()).slice(-2)).toEqual([
      { happened: 'compared', soundness: 'in-question' },
      { happened: 'decided', soundness: 'in-question' },
    ])
    await decide((await read('program', second)).record.findings!.filter(({ severity }) => severity === 'hold'))
    expect((await read('program', second)).soundness).toBe('sound')
    expect(await counted()).toEqual([[1, 0]])
    // Of a test of which nothing grave was found no row is added.
    expect(await sql(`select from ll.test_fact where happened = 'compared'`)).toHaveLength(1)
  })

  test('of one firm and plant are told with the test they come from', async () => {
    const first = await submitBy(service, 'firmA', firstSheet)
    const second = await submitBy(service, 'firmA', atFirstPlant)
    await compareAll(service)
    expect(found(await read('firmA', second))).toContain('readings-reused-from-earlier-test')
    expect((await basisOf('firmA', second))[0]).toMatchObject({ against: [first.id] })
  })

  test('of one plant that two firms test are found too, and neither learns of the other', async () => {
    const { body: request } = await service.call<{ id: string }>('firmB', 'POST /v1/access-requests', {
      body: { plantCode: firstSheet.plant, consent },
    })
    await service.call('admin', `POST /v1/access-requests/${request.id}/decision`, { body: { outcome: 'granted' } })
    const { plant: _, ...records } = firstContext
    for (const instrument of records.instruments)
      await service.call('firmB', 'POST /v1/instruments', { body: { ...instrument, effectiveFrom: '2025-01-01' } })
    await service.call('firmB', 'POST /v1/testers', { body: records.tester })
    const first = await submitBy(service, 'firmA', firstSheet)
    const second = await submitBy(service, 'firmB', atFirstPlant)
    await compareAll(service)
    const now = await read('firmB', second)
    expect(found(now)).toContain('readings-reused-from-earlier-test')
    expect(JSON.stringify(now)).not.toContain(first.id)
    expect(await basisOf('firmB', second)).toEqual(beside(now)!.map(() => undefined))
  })
})

describe('which tests are compared', () => {
  test('the same bytes under another key are a test of its own, with a note', async () => {
    const first = await submitBy(service, 'firmA', firstSheet)
    const again = await submitBy(service, 'firmA', firstSheet)
    expect(again.id).not.toBe(first.id)
    await compareAll(service)
    expect(found(await read('firmA', again))).toContain('same-sheet-sent-again')
    expect(found(await read('firmA', first))).toEqual([])
  })

  test('a test that was withdrawn before is nothing to compare with; one withdrawn since is', async () => {
    const first = await submitBy(service, 'firmA', firstSheet)
    await service.call('firmA', `POST /v1/tests/${first.id}/withdrawal`, { body: { reason: 'practice' } })
    const second = await submitBy(service, 'firmA', atFirstPlant)
    const third = await submitBy(service, 'firmA', { ...atFirstPlant, testedOn: '2026-06-03' })
    // What comes later than a test changes nothing about what it came after.
    await service.call('firmA', `POST /v1/tests/${second.id}/withdrawal`, { body: { reason: 'practice' } })
    await compareAll(service)
    expect(found(await read('firmA', second))).toEqual([])
    expect(found(await read('firmA', third))).not.toEqual([])
    expect(await read('firmA', second)).toMatchObject({ soundness: 'withdrawn', record: { compared: true } })
  })

  test('copies that were withdrawn do not hide the older test that they were made from', async () => {
    await registerContext(service, 'firmB', reusedContext)
    await submitBy(service, 'firmA', firstSheet)
    for (let n = 0; n < 72; n++) {
      const testedOn = new Date(Date.UTC(2026, 4, 1 + n)).toISOString().slice(0, 10)
      const copy = await submitBy(service, 'firmB', { ...reusedSheet, testedOn })
      await service.call('firmB', `POST /v1/tests/${copy.id}/withdrawal`, { body: { reason: 'practice' } })
    }
    const last = await submitBy(service, 'firmB', reusedSheet)
    await compareAll(service)
    expect(found(await read('firmB', last))).toEqual(['readings-reused-from-another-plant'])
  })

  test('a revision is not compared with the versions of its own test', async () => {
    const revise = async ({ id }: FieldTest, sheet: Sheet) =>
      (await service.call<FieldTest>('firmA', `POST /v1/tests/${id}/revisions?reason=misread`, { body: sheet })).body
    const first = await submitBy(service, 'firmA', firstSheet)
    const second = await revise(first, firstSheet)
    expect(second.record).toEqual({ compared: false })
    const third = await revise(second, firstSheet)
    await compareAll(service)
    for (const version of [first, second, third]) expect(found(await read('firmA', version))).toEqual([])
    // And another test is compared with the version that stood, once.
    const other = await submitBy(service, 'firmA', atFirstPlant)
    await compareAll(service)
    for (const { against } of (await basisOf('firmA', other)).map((basis) => basis!))
      expect(against).toEqual([third.id])
  })

  test('a test whose sheet is not what was received is left out, and keeps nobody waiting', async () => {
    const spoiled = await submitBy(service, 'firmA', firstSheet)
    await sql('alter table ll.field_test disable trigger append_only')
    await sql('update ll.field_test set raw = $2, raw_sha256 = sha256($2) where id = $1', [
      fromWire('test', spoiled.id),
      Buffer.from('{'),
    ])
    await sql('alter table ll.field_test enable always trigger append_only')
    const next = await submitBy(service, 'firmA', atFirstPlant)
    expect(await compareAll(service)).toMatchObject({ compared: 1, failing: 1, behind: 0 })
    expect(found(await read('firmA', next))).toEqual([])
    expect(service.log.filter((line) => line.includes('can not be compared') && line.includes(spoiled.id))).not.toEqual(
      [],
    )
  })
})
