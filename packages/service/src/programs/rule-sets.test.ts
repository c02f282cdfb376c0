import { parseReceipt } from '@liftledger/ledger'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { asKey, officeKey, rulesOf, tryRules } from '../../../../tests/setup/rule-sets.ts'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import {
  afterRepair,
  beforeRepair,
  instruments,
  registerForVisits,
  submitVisit,
} from '../../../../tests/setup/visits.ts'
import type { DryRun, DryRunChange } from './dry-run-schemas.ts'
import type { Judgement } from './judgement-schemas.ts'
import type { PublishedRuleSet, RuleSet, RuleSetChecks } from './rule-set-schemas.ts'
import type { RuleSetContent } from './rules/schema.ts'

const first = rulesOf('ambermoor-1') as unknown as RuleSetContent
const second = rulesOf('ambermoor-2') as unknown as RuleSetContent

/** The visit on another day, its times with it. */
const on = (day: string, sheet = beforeRepair) =>
  JSON.parse(JSON.stringify(sheet).replaceAll(sheet.testedOn, day)) as object

type Page<T> = { items: T[]; next?: string }
interface ProblemBody {
  readonly code: string
  readonly detail: string
  readonly errors?: readonly { pointer: string; message: string }[]
}

let service: TestService
let programService: { author: string; publisher: string; colleague: string; other: string }
beforeAll(async () => {
  service = await startTestService()
  await registerForVisits(service, 'firmA', true)
  const { body: other } = await service.call<{ id: string }>('admin', 'POST /v1/programs', {
    body: { name: 'Other (invented)' },
  })
  const keyOf = (holder: string, programId = service.program) => officeKey(service, programId, holder)
  programService = {
    author: await keyOf('P-1'),
    colleague: await keyOf('P-1'),
    publisher: await keyOf('P-2'),
    other: await keyOf('P-9', other.id),
  }
})
afterAll(() => service.close())

const as = <B>(key: string, route: `${string} ${string}`, body?: object, headers?: Record<string, string>) =>
  asKey<B>(service, key, route, body, headers)
async function dryRun(id: string): Promise<DryRun> {
  const run = await tryRules(service, programService.author, id)
  return (await as<DryRun>(programService.author, `GET /v1/dry-runs/${run}`)).body
}

const draft = (rules: object) => as<RuleSet>(programService.author, 'POST /v1/rule-sets', rules)
async function publish(id: string, key = programService.publisher) {
  const { headers } = await as(key, `GET /v1/rule-sets/${id}`)
  return as<RuleSet & ProblemBody>(key, `POST /v1/rule-sets/${id}/publication`, undefined, {
    'if-match': String(headers.etag),
  })
}

const give = async (testId: string) => {
  const consent = { givenAt: '2026-05-04T09:30:00-07:00', by: 'grower', evidence: 'CONS-9' }
  const body = { programId: service.program, consent }
  expect((await service.call('firmA', `POST /v1/tests/${testId}/programs`, { body })).status).toBe(201)
}
const judgement = (caller: Parameters<TestService['call']>[0], id: string) =>
  service.call<Judgement>(caller, `GET /v1/programs/${service.program}/tests/${id}/judgement`)
const outcomes = ({ rules }: Judgement) => Object.fromEntries(rules.map(({ rule, outcome }) => [rule, outcome]))

describe('a rule set', () => {
  test('is drafted by who is somebody, changed under its ETag, and refused to others', async () => {
    const nobodys = await officeKey(service, service.program)
    expect(await as(nobodys, 'POST /v1/rule-sets', first)).toMatchObject({
      status: 403,
      body: { detail: expect.stringContaining('holder') },
    })
    const made = await draft({ ...first, name: 'First thoughts' })
    expect(made).toMatchObject({ status: 201, body: { state: 'draft', version: 1, authors: ['P-1'] } })
    const at = `/v1/rule-sets/${made.body.id}` as const
    expect((await as(programService.author, `PUT ${at}`, first)).status).toBe(428)
    const etag = String(made.headers.etag)
    const changed = await as<RuleSet>(programService.colleague, `PUT ${at}`, first, { 'if-match': etag })
    expect(changed).toMatchObject({ status: 200, body: { authors: ['P-1'], content: { name: first.name } } })
    expect((await as(programService.author, `PUT ${at}`, first, { 'if-match': etag })).status).toBe(412)
    expect((await as(programService.other, `GET ${at}`)).status).toBe(404)
    expect((await as(programService.other, `POST ${at}/dry-runs`)).status).toBe(404)
    expect((await as<Page<RuleSet>>(programService.other, 'GET /v1/rule-sets')).body.items).toEqual([])
    expect((await service.call<RuleSet>('auditor', `GET ${at}`)).body.contentSha256).toBe(changed.body.contentSha256)
    expect(await draft({ ...first, timeZone: 'Ambermoor/Mill' })).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '/timeZone' }] },
    })
    expect(await draft({ ...first, colour: 'blue' })).toMatchObject({ status: 400 })
    for (const findings of [{ severity: { 'Not An Id': 'hold' } }, { limits: { 'pump-looks-old': { '1': 2 } } }]) {
      expect(await draft({ ...first, findings })).toMatchObject({ status: 400 })
    }
  })

  test('that contradicts itself is told so, with both rules, and is not published', async () => {
    const rules = structuredClone(first)
    rules.payments.test!.amounts[0]!.when = { 'plant.ratedPower': { below: { value: 80, unit: 'hp' } } }
    const { body } = await draft(rules)
    const checks = await as<RuleSetChecks>(programService.author, `GET /v1/rule-sets/${body.id}/checks`)
    expect(checks.body).toMatchObject({ publishable: false, contentSha256: body.contentSha256 })
    expect(checks.body.found.filter(({ severity }) => severity === 'refused')).toMatchObject([
      {
        code: 'amounts-overlap',
        rules: [
          { id: 't-small', pointer: '/payments/test/amounts/0' },
          { id: 't-large', pointer: '/payments/test/amounts/1' },
        ],
      },
    ])
    await dryRun(body.id)
    const refused = await publish(body.id)
    expect(refused.status).toBe(409)
    expect(refused.body.errors?.[0]?.message).toMatch(/'t-small'.*'t-large'/)
  })

  test('is published by a second person after a dry run, once, and never changed', async () => {
    const { body, headers } = await draft(first)
    const noRun = await publish(body.id)
    expect(noRun).toMatchObject({ status: 409, body: { detail: expect.stringContaining('dry-runs') } })
    await dryRun(body.id)
    for (const key of [programService.author, programService.colleague]) {
      expect(await publish(body.id, key)).toMatchObject({
        status: 409,
        body: { detail: expect.stringContaining("'P-1'") },
      })
    }
    const unread = await as(programService.publisher, `POST /v1/rule-sets/${body.id}/publication`)
    expect(unread.status).toBe(428)
    const published = await publish(body.id)
    expect(published).toMatchObject({ status: 201, body: { state: 'published', publisher: 'P-2', authors: ['P-1'] } })
    expect(parseReceipt(String(published.headers['ledger-receipt'])).index).toBe(published.body.ledgerIndex)
    expect((await publish(body.id)).body.detail).toContain('never changed')
    const { headers: now } = await as(programService.author, `GET /v1/rule-sets/${body.id}`)
    const change = await as<ProblemBody>(programService.author, `PUT /v1/rule-sets/${body.id}`, first, {
      'if-match': String(now.etag),
    })
    expect(change).toMatchObject({ status: 409, body: { detail: expect.stringContaining('never changed') } })
    expect(headers.etag).not.toBe(now.etag)

    const everybody = await service.call<Page<PublishedRuleSet>>(
      'nobody',
      `GET /v1/programs/${service.program}/rule-sets`,
    )
    expect(everybody.body.items).toEqual([
      expect.objectContaining({ version: 1, contentSha256: body.contentSha256, content: first }),
    ])
    const [shown] = everybody.body.items
    expect(await service.call('nobody', `GET /v1/programs/${service.program}/rule-sets/1`)).toMatchObject({
      status: 200,
      body: shown,
    })
    expect((await service.call('nobody', `GET /v1/programs/${service.program}/rule-sets/2`)).status).toBe(404)
    const entries = await service.call<Page<{ entry: string | object }>>('auditor', 'GET /v1/ledger/entries?limit=200')
    expect(JSON.stringify(entries.body.items)).toContain(body.contentSha256)
    expect(JSON.stringify(entries.body.items)).not.toContain('P-1')
  })

  test('that overlaps the one before, or leaves a gap unstated, is refused', async () => {
    for (const [days, code] of [
      [{ inForceFrom: '2025-12-31' }, 'versions-overlap'],
      [{ inForceFrom: '2026-01-02' }, 'gap-not-stated'],
    ] as const) {
      const { body } = await draft({ ...second, ...days })
      const { body: checks } = await as<RuleSetChecks>(programService.author, `GET /v1/rule-sets/${body.id}/checks`)
      expect(checks.found.map((one) => one.code)).toContain(code)
    }
  })
})

describe('a test', () => {
  test('is judged by the version in force on its day, each rule with its facts and their places', async () => {
    const of2025 = await submitVisit(service, 'firmA', on('2025-06-10'))
    const of2026 = await submitVisit(service, 'firmA', afterRepair)
    for (const id of [of2025, of2026]) await give(id)
    const { body } = await draft(second)
    const run = await dryRun(body.id)
    expect(run.summary).toMatchObject({ judged: 2, withoutVersion: 1, notJudged: 0, changed: 1, amount: 1 })
    expect(run.summary!.amounts).toEqual({ before: '220.00', after: '260.00', difference: '40.00' })
    const changes = await as<Page<DryRunChange>>(programService.author, `GET /v1/dry-runs/${run.id}/changes`)
    expect(changes.body.items).toMatchObject([
      { testId: of2025, before: { version: 1, amount: '220.00' }, after: { version: 2, amount: '260.00' } },
    ])
    expect((await as(programService.other, `GET /v1/dry-runs/${run.id}`)).status).toBe(404)
    expect((await publish(body.id)).status).toBe(201)

    const old = (await judgement('program', of2025)).body
    const young = (await judgement('program', of2026)).body
    expect([old.ruleSet?.version, young.ruleSet?.version]).toEqual([1, 2])
    expect([old.amount?.amount, young.amount?.amount]).toEqual(['220.00', '260.00'])
    expect(young.amount?.steps).toMatchObject([
      {
        rule: 't-large',
        pointer: '/payments/test/amounts/1',
        amount: '260.00',
        total: '260.00',
        facts: [
          {
            fact: 'plant.ratedPower',
            values: [{ unit: 'W', document: 'context', pointer: '/plant/equipment/ratedPower' }],
          },
        ],
      },
    ])
    expect(young.rules.find(({ rule }) => rule === 'interval')).toMatchObject({
      wanted: 'at least 300',
      facts: [{ fact: 'daysSinceLastPaidTest', values: [{ document: 'tests', pointer: `/${of2025}` }] }],
    })
    expect(young.rules.find(({ rule }) => rule === 'uncertainty')?.facts[0]?.values[0]).toMatchObject({
      document: 'evaluation',
      pointer: expect.stringMatching(/^\/results\/\d+$/),
    })
    expect(old).toMatchObject({ soundness: 'sound', eligibility: 'met', payable: true })
    expect(outcomes(old)).toMatchObject({ region: 'met', consent: 'met', 'method-edition': 'met' })
    for (const caller of ['firmA', 'auditor'] as const) {
      const told = (await judgement(caller, of2025)).body
      expect(told).toEqual(old)
    }
    expect((await judgement('firmB', of2025)).status).toBe(404)
    expect((await judgement('keeper', of2025)).status).toBe(403)
    expect(
      (await as(programService.other, `GET /v1/programs/${service.program}/tests/${of2025}/judgement`)).status,
    ).toBe(404)
  })

  test('tested too soon is not decidable: a repair would waive it; and a firm is told less of others', async () => {
    const early = await submitVisit(service, 'firmA', on('2026-02-02'))
    const late = await submitVisit(service, 'firmA', on('2026-03-03'))
    for (const id of [early, late]) await give(id)
    const [program, firm] = [(await judgement('program', late)).body, (await judgement('firmA', late)).body]
    const interval = (of: Judgement) => of.rules.find(({ rule }) => rule === 'interval')
    expect(interval(program)).toMatchObject({ outcome: 'not-decidable', because: expect.stringContaining('repair') })
    expect(interval(program)?.facts[0]?.values).toMatchObject([{ value: 29 }])
    expect(interval(firm)?.facts[0]).toMatchObject({ atMost: true })
    expect(program).toMatchObject({ eligibility: 'not-decidable', payable: false })
  })

  test('is held up where its certificate had run out, until the program decides on that', async () => {
    const gauge = (instruments as readonly { code: string; certificate?: object }[]).find(
      ({ code }) => code === 'gauge-100',
    )!
    const expired = { number: 'AMB-9', validFrom: '2024-01-01', validUntil: '2025-12-31' }
    const body = { ...gauge, code: 'gauge-old', certificate: expired, effectiveFrom: '2024-01-01' }
    expect((await service.call('firmA', 'POST /v1/instruments', { body })).status).toBe(201)
    const sheet = on('2026-05-05') as { instruments: object }
    const id = await submitVisit(service, 'firmA', {
      ...sheet,
      instruments: { ...sheet.instruments, pressure: 'gauge-old' },
    })
    await give(id)
    const held = (await judgement('program', id)).body
    const hold = held.findings.find((one) => one.id === 'instrument-calibration-expired')!
    expect([held.soundness, hold.severity, hold.changed]).toEqual(['in-question', 'hold', 'severity'])
    const { id: finding, run, place } = hold
    const decide = (outcome: string) =>
      service.call('program', `POST /v1/tests/${id}/decisions`, {
        body: {
          finding,
          ...(run !== undefined && { run }),
          place,
          outcome,
          reader: 'R-1',
          reason: 'As found it was within.',
        },
      })
    expect((await decide('does-not-stand')).status).toBe(201)
    expect((await judgement('program', id)).body.soundness).toBe('sound')
    expect((await decide('stands')).status).toBe(201)
    expect((await judgement('firmA', id)).body).toMatchObject({ soundness: 'unsound', payable: false })
  })

  test('of a day without a version has its soundness and no rules', async () => {
    const id = await submitVisit(service, 'firmA', on('2022-06-10'))
    await give(id)
    const { body } = await judgement('program', id)
    expect(body).toMatchObject({ eligibility: 'not-decidable', payable: false, rules: [] })
    expect(body).not.toHaveProperty('ruleSet')
    const other = await submitVisit(service, 'firmA', beforeRepair)
    expect((await judgement('firmA', other)).status).toBe(404)
  })
})
