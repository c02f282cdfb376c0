/**
 * A dry run over many tests: it comes to its end beside other requests and counts each of them.
 *
 * `DRY_RUN_TESTS=20000` tries it at the size that a program of some years has.
 */
import { afterAll, beforeAll, expect, test } from 'vitest'
import { asKey, draftRules, officeKey, rulesOf, tryRules } from '../../../../tests/setup/rule-sets.ts'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { beforeRepair, registerForVisits, submitVisit } from '../../../../tests/setup/visits.ts'
import { onConnection } from '../db/testing.ts'
import { fromWire } from '../http/ids.ts'
import type { DryRun, DryRunChange } from './dry-run-schemas.ts'

const TESTS = Number(process.env.DRY_RUN_TESTS ?? 1_000)

let service: TestService
let author: string
beforeAll(async () => {
  service = await startTestService()
  await registerForVisits(service, 'firmA', true)
  author = await officeKey(service, service.program, 'P-1')
  const publisher = await officeKey(service, service.program, 'P-2')
  const { ruleSetId } = await draftRules(service, author, rulesOf('ambermoor-1'))
  await asKey(service, publisher, `POST /v1/rule-sets/${ruleSetId}/publication`, undefined, { 'if-match': '*' })
  const visit = JSON.parse(JSON.stringify(beforeRepair).replaceAll(beforeRepair.testedOn, '2025-06-10')) as object
  await multiply(await submitVisit(service, 'firmA', visit), TESTS)
}, 300_000)
afterAll(() => service.close())

/** Rows like that of one test, on days of two years, each given to the program: by hand, since the API takes minutes. */
const multiply = (testId: string, count: number) =>
  onConnection(service.databaseUrl, undefined, async (client) => {
    await client.query("set search_path = ll; set statement_timeout = '300s'")
    const values = [fromWire('test', testId), count]
    await client.query(
      `insert into field_test
       select (jsonb_populate_record(one, jsonb_build_object('id', gen_random_uuid(), 'tested_on', date '2023-06-01' + n % 700))).*
       from field_test one, generate_series(1, $2) n where one.id = $1`,
      values,
    )
    await client.query(
      `insert into test_program (test_id, program_id, turn, consent, consented_at, evidence, recorded_at, firm_id, tested_on, key_id)
       select id, $2, 1, 'given', received_at, 'CONS-1', received_at, firm_id, tested_on, key_id from field_test where id <> $1`,
      [values[0], fromWire('program', service.program)],
    )
    await client.query('analyze field_test; analyze test_program')
  })

test(
  `over ${TESTS} tests says of each what would change, and by how much in all`,
  async () => {
    const { body: draft } = await asKey<{ id: string }>(service, author, 'POST /v1/rule-sets', rulesOf('ambermoor-2'))
    const began = performance.now()
    const id = await tryRules(service, author, draft.id, 10 * 60_000)
    const seconds = (performance.now() - began) / 1000
    const { body: run } = await asKey<DryRun>(service, author, `GET /v1/dry-runs/${id}`)
    if (TESTS > 10_000) console.info(`${TESTS} tests in ${seconds.toFixed(1)} s`)
    const more = (cents: number) => `${(TESTS * cents).toFixed(2)}`
    expect(run.summary).toMatchObject({ judged: TESTS, notJudged: 0, withoutVersion: 0, changed: TESTS, amount: TESTS })
    expect(run.summary!.amounts).toEqual({ before: more(220), after: more(260), difference: more(40) })
    const seen = new Set<string>()
    let cursor = ''
    do {
      const page = await asKey<{ items: DryRunChange[]; next?: string }>(
        service,
        author,
        `GET /v1/dry-runs/${id}/changes?limit=200${cursor}`,
      )
      for (const { testId } of page.body.items) seen.add(testId)
      cursor = page.body.next === undefined ? '' : `&cursor=${page.body.next}`
    } while (cursor !== '')
    expect(seen.size).toBe(TESTS)
  },
  15 * 60_000,
)

test('that is under way when the service stops says so', async () => {
  const other = await startTestService()
  await registerForVisits(other, 'firmA', true)
  const key = await officeKey(other, other.program, 'P-1')
  const { body: draft } = await asKey<{ id: string }>(other, key, 'POST /v1/rule-sets', rulesOf('ambermoor-1'))
  const { body: run } = await asKey<{ id: string }>(other, key, `POST /v1/rule-sets/${draft.id}/dry-runs`)
  await other.app.close()
  const { rows } = await onConnection(other.databaseUrl, undefined, (client) =>
    client.query('select finished_at is not null as ended from ll.rule_set_dry_run where id = $1', [
      fromWire('dry run', run.id),
    ]),
  )
  expect(rows).toEqual([{ ended: true }])
  await other.close()
})
