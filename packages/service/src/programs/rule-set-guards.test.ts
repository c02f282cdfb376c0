/** What the database itself refuses of rule sets, whoever asks; and what it shows to whom. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { asKey, draftRules, officeKey, rulesOf } from '../../../../tests/setup/rule-sets.ts'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { beforeRepair, registerForVisits, submitVisit } from '../../../../tests/setup/visits.ts'
import { onConnection } from '../db/testing.ts'
import { fromWire } from '../http/ids.ts'
import type { RuleSet } from './rule-set-schemas.ts'

let service: TestService
let author: string
let publisher: string
let published: string
let draft: string
beforeAll(async () => {
  service = await startTestService()
  await registerForVisits(service, 'firmA', true)
  author = await officeKey(service, service.program, 'P-1')
  publisher = await officeKey(service, service.program, 'P-2')
  const first = await draftRules(service, author, rulesOf('ambermoor-1'))
  published = first.ruleSetId
  expect((await publish(published)).status).toBe(201)
  // A test of a day of the first version, which the second pays otherwise.
  const visit = JSON.parse(JSON.stringify(beforeRepair).replaceAll(beforeRepair.testedOn, '2025-06-10')) as object
  const testId = await submitVisit(service, 'firmA', visit)
  const consent = { givenAt: '2025-06-10T09:30:00-07:00', by: 'grower', evidence: 'CONS-9' }
  await service.call('firmA', `POST /v1/tests/${testId}/programs`, { body: { programId: service.program, consent } })
  draft = (await draftRules(service, author, rulesOf('ambermoor-2'))).ruleSetId
})
afterAll(() => service.close())

const publish = (id: string) =>
  asKey<RuleSet>(service, publisher, `POST /v1/rule-sets/${id}/publication`, undefined, { 'if-match': '*' })
const query = (sql: string, role?: string, values: unknown[] = []) =>
  onConnection(service.databaseUrl, role, (client) => client.query(sql, values))

describe('the database', () => {
  test.each([
    ["update ll.rule_set set content = content || '' where published_at is not null", /never changed/],
    ['update ll.rule_set set published_at = null where published_at is not null', /never changed/],
    ['delete from ll.rule_set where published_at is null', /append-only/],
    ['truncate ll.rule_set cascade', /append-only/],
    ['update ll.rule_set_dry_run set judged = 0', /goes on until it ends/],
    ['delete from ll.rule_set_dry_run', /append-only/],
    ['update ll.rule_set_dry_run_change set change = change', /append-only/],
    ['delete from ll.rule_set_dry_run_change', /append-only/],
  ])('refuses %s, also of its superuser', async (sql, reason) => {
    await expect(query(sql)).rejects.toThrow(reason)
  })

  test('has rows, so that the refusals mean something', async () => {
    for (const table of ['rule_set', 'rule_set_dry_run', 'rule_set_dry_run_change']) {
      expect([table, (await query(`select from ll.${table}`)).rowCount]).not.toEqual([table, 0])
    }
  })

  test('lets nobody who wrote on a draft publish it, whatever the service thinks', async () => {
    const id = fromWire('rule set', draft)
    const one = `update ll.rule_set set publisher = $2, publisher_key = $3, published_at = now(), dry_run_id = gen_random_uuid(),
      salt = sha256('')::bytea, people_sha256 = sha256(''), leaf_hash = sha256('x'), ledger_index = 9 where id = $1`
    const half = one.replace("sha256('')::bytea,", "substr(sha256(''), 1, 16),")
    await expect(query(half, undefined, [id, 'P-1', 'keykeykeykey'])).rejects.toThrow(/two_persons/)
    const { rows } = await query('select author_keys from ll.rule_set where id = $1', undefined, [id])
    const [key] = (rows[0] as { author_keys: string[] }).author_keys
    await expect(query(half, undefined, [id, 'P-2', key])).rejects.toThrow(/two_persons/)
  })

  test('shows a firm and everybody what is published, and nothing of who wrote it', async () => {
    for (const role of ['ll_firm', 'll_integrator', 'll_keeper']) {
      const { rows } = await query('select id from ll.rule_set', role)
      expect(rows.map(({ id }: { id: string }) => id)).toEqual([fromWire('rule set', published)])
      await expect(query('select authors from ll.rule_set', role)).rejects.toThrow(/permission denied/)
    }
    expect((await query('select id from ll.rule_set', 'll_program')).rows).toEqual([])
  })
})

test('of two publications at once one comes first, and of a version there is one', async () => {
  const same = await draftRules(service, author, rulesOf('ambermoor-2'))
  const answers = await Promise.all([publish(draft), publish(same.ruleSetId), publish(draft)])
  expect(answers.filter(({ status }) => status === 201)).toHaveLength(1)
  for (const { status } of answers) expect([201, 409, 412]).toContain(status)
  const { body } = await service.call<{ items: { version: number }[] }>(
    'nobody',
    `GET /v1/programs/${service.program}/rule-sets`,
  )
  expect(body.items.map(({ version }) => version)).toEqual([1, 2])
})
