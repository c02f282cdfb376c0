import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { type Caller, startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { afterRepair, beforeRepair, registerForVisits, submitVisit } from '../../../../tests/setup/visits.ts'
import { connect } from '../db/testing.ts'
import { uuidOf } from '../http/ids.ts'
import type { HistoryTurn, PlantHistoryItem } from './schemas.ts'

let service: TestService
let plantId = ''
let [before, after] = ['', '']

type Page<T> = { items: T[]; next?: string }

beforeAll(async () => {
  service = await startTestService()
  await registerForVisits(service, 'firmA', true)
  await registerForVisits(service, 'firmB', false)
  const { body } = await service.call<Page<{ id: string }>>('firmA', 'GET /v1/plants?code=AM-12')
  plantId = body.items[0]!.id
  await service.call('admin', `POST /v1/plants/${plantId}/access`, { body: { firmId: service.firmB } })
  before = await submitVisit(service, 'firmA', beforeRepair)
  after = await submitVisit(service, 'firmB', afterRepair)
})
afterAll(() => service.close())

const history = (caller: Caller, query = '') =>
  service.call<Page<PlantHistoryItem>>(caller, `GET /v1/plants/${plantId}/history${query}`)
const items = async (caller: Caller) => (await history(caller)).body.items

const consent = { givenAt: '2026-05-04T09:30:00-07:00', by: 'grower', evidence: 'CONS-12' }
const other = { firmA: () => service.firmB, firmB: () => service.firmA }
const share = (caller: 'firmA' | 'firmB', more: object = {}) =>
  service.call<HistoryTurn>(caller, `POST /v1/plants/${plantId}/history-consents`, {
    body: { firmId: other[caller](), consent, ...more },
  })
const close = (caller: 'firmA' | 'firmB', firmId = other[caller]()) =>
  service.call<HistoryTurn>(caller, `POST /v1/plants/${plantId}/history-consents/${firmId}/withdrawal`, {
    body: { withdrawnAt: '2026-06-01T08:00:00-07:00' },
  })

describe('the history of a plant that two firms test', () => {
  test('is each firm’s own without consent: not even how many tests the other made', async () => {
    const [a, b] = [await items('firmA'), await items('firmB')]
    expect(a.map(({ testId, source }) => [testId, source])).toEqual([[before, 'own']])
    expect(b.map(({ testId, source }) => [testId, source])).toEqual([[after, 'own']])
    const answer = await history('firmB', '?limit=1')
    expect(answer.body).not.toHaveProperty('next')
    expect(answer.headers).not.toHaveProperty('link')
    expect((await service.call('firmB', `GET /v1/tests/${before}`)).status).toBe(404)
  })

  test('agrees with the test itself', async () => {
    const [item] = await items('firmA')
    const { body } = await service.call<{
      results: { quantity: string; run: number; value: number; expandedUncertainty: number }[]
    }>('firmA', `GET /v1/tests/${before}`)
    const of = (quantity: string) => body.results.find((one) => one.quantity === quantity && one.run === 0)!
    const efficiency = of('overall-plant-efficiency')
    expect(item).toMatchObject({
      testedOn: beforeRepair.testedOn,
      edition: '2026-1',
      overallPlantEfficiency: efficiency.value,
      overallPlantEfficiencyLow: efficiency.value - efficiency.expandedUncertainty,
      overallPlantEfficiencyHigh: efficiency.value + efficiency.expandedUncertainty,
      specificCapacityM2S: of('specific-capacity').value,
      liftM: of('lift').value,
      flowM3S: of('flow').value,
      headM: of('total-dynamic-head').value,
      inputPowerW: of('input-power').value,
      energyPerVolumeJM3: of('energy-per-volume').value,
    })
  })

  test('is one once the grower consents, one way; and two again once the consent is withdrawn', async () => {
    const ownOfA = (await items('firmA'))[0]!
    const ownOfB = (await items('firmB'))[0]!
    const opened = await share('firmA')
    expect(opened).toMatchObject({
      status: 201,
      body: { plantId, firmId: service.firmB, turn: 1, consent: 'given', evidence: 'CONS-12' },
    })
    const seen = await items('firmB')
    const { testId: _, flowM3S, headM, inputPowerW, energyPerVolumeJM3, ...figures } = ownOfA
    expect(seen).toEqual([{ ...figures, source: 'shared' }, ownOfB])
    expect([flowM3S, headM, inputPowerW, energyPerVolumeJM3]).not.toContain(undefined)
    expect(Object.keys(seen[0]!).sort()).toEqual([
      'edition',
      'liftM',
      'overallPlantEfficiency',
      'overallPlantEfficiencyHigh',
      'overallPlantEfficiencyLow',
      'soundness',
      'source',
      'specificCapacityM2S',
      'testedOn',
    ])
    expect(await items('firmA')).toEqual([ownOfA])
    // What is shared is figures: the test itself, its list and its notes are as closed as before.
    for (const part of ['', '/results', '/findings', '/trace/lift', '/notes', '/programs']) {
      expect((await service.call('firmB', `GET /v1/tests/${before}${part}`)).status).toBe(404)
    }
    const list = await service.call<Page<{ id: string }>>('firmB', 'GET /v1/tests')
    expect(list.body.items.map(({ id }) => id)).toEqual([after])

    const closed = await close('firmA')
    expect(closed).toMatchObject({ status: 201, body: { turn: 2, consent: 'withdrawn' } })
    expect(await items('firmB')).toEqual([ownOfB])
    const turns = await service.call<Page<HistoryTurn>>('firmA', `GET /v1/plants/${plantId}/history-consents`)
    expect(turns.body.items).toEqual([opened.body, closed.body])
    const theirs = await service.call<Page<HistoryTurn>>('firmB', `GET /v1/plants/${plantId}/history-consents`)
    expect(theirs.body.items).toEqual([])
  })

  test('comes page by page in order of the day, over both firms', async () => {
    await share('firmA')
    const earlier = { ...beforeRepair, testedOn: '2026-03-09' }
    for (const [caller, sheet] of [
      ['firmA', earlier],
      ['firmB', earlier],
      ['firmA', afterRepair],
    ] as const) {
      await submitVisit(service, caller, sheet)
    }
    const all = await items('firmB')
    expect(all.map(({ testedOn, source }) => `${testedOn} ${source}`)).toEqual([
      '2026-03-09 shared',
      '2026-03-09 own',
      '2026-03-10 shared',
      '2026-04-21 own',
      '2026-04-21 shared',
    ])
    const paged: PlantHistoryItem[] = []
    for (let query: string | undefined = '?limit=2'; query !== undefined; ) {
      const { body, headers }: Awaited<ReturnType<typeof history>> = await history('firmB', query)
      paged.push(...body.items)
      expect(String(headers.link ?? '')).toContain(body.next ?? '')
      query = body.next && `?limit=2&cursor=${body.next}`
    }
    expect(paged).toEqual(all)
    await close('firmA')
  })

  test('comes as CSV where that is asked for', async () => {
    const call = (accept: string) => service.call('firmA', `GET /v1/plants/${plantId}/history`, { headers: { accept } })
    const table = await call('text/csv')
    expect(table.headers['content-type']).toBe('text/csv; charset=utf-8; header=present')
    const [header, ...lines] = String(table.body).split('\r\n')
    expect(header).toBe(
      'source,testedOn,testId,edition,soundness,overallPlantEfficiency,overallPlantEfficiencyLow,' +
        'overallPlantEfficiencyHigh,specificCapacityM2S,liftM,flowM3S,headM,inputPowerW,energyPerVolumeJM3',
    )
    const own = await items('firmA')
    expect(lines.pop()).toBe('')
    expect(lines.map((line) => line.split(',')[5])).toEqual(own.map((item) => String(item.overallPlantEfficiency)))
    expect((await call('application/json, text/csv;q=0.5')).headers['content-type']).toMatch(/^application\/json/)
    expect(await call('image/svg+xml')).toMatchObject({ status: 406, body: { code: 'not-acceptable' } })
  })

  test('is full for auditors and keepers, and for a program the tests it was given', async () => {
    const { body } = await service.call<Page<{ id: string }>>('auditor', 'GET /v1/tests')
    const ids = body.items.map(({ id }) => id).sort()
    for (const reader of ['auditor', 'keeper'] as const) {
      const all = await items(reader)
      expect(all.map(({ testId }) => testId).sort()).toEqual(ids)
      expect(all.every(({ source, flowM3S }) => source === 'own' && flowM3S !== undefined)).toBe(true)
    }
    expect((await history('program')).status).toBe(404)
    await service.call('firmB', `POST /v1/tests/${after}/programs`, { body: { programId: service.program, consent } })
    expect((await items('program')).map(({ testId }) => testId)).toEqual([after])
  })

  test('leaves out what a later revision replaced', async () => {
    const { body: revised } = await service.call<{ id: string }>(
      'firmB',
      `POST /v1/tests/${after}/revisions?reason=misread`,
      { body: afterRepair },
    )
    const ids = (await items('firmB')).map(({ testId }) => testId)
    expect(ids).not.toContain(after)
    expect(ids).toContain(revised.id)
    await share('firmB')
    const days = (await items('firmA')).map(({ testedOn, source }) => `${testedOn} ${source}`)
    expect(days.filter((day) => day === `${afterRepair.testedOn} shared`)).toHaveLength(1)
    // Programs that had the test have its revision; taken back, it is in no history.
    expect((await items('program')).map(({ testId }) => testId)).toEqual([revised.id])
    const withdrawal = { body: { reason: 'sent-twice' } }
    expect((await service.call('firmB', `POST /v1/tests/${revised.id}/withdrawal`, withdrawal)).status).toBe(201)
    expect((await items('firmB')).map(({ testId }) => testId)).not.toContain(revised.id)
    const seenByOther = (await items('firmA')).map(({ testedOn, source }) => `${testedOn} ${source}`)
    expect(seenByOther).not.toContain(`${afterRepair.testedOn} shared`)
    await close('firmB')
  })

  test('of a plant without access is not there, consented or not', async () => {
    const body = { code: 'AM-99', kind: 'well' }
    const { id } = (await service.call<{ id: string }>('firmA', 'POST /v1/plants', { body })).body
    const consents = `POST /v1/plants/${id}/history-consents` as const
    expect((await service.call('firmA', consents, { body: { firmId: service.firmB, consent } })).status).toBe(201)
    expect((await service.call('firmB', `GET /v1/plants/${id}/history`)).status).toBe(404)
    expect((await service.call('firmB', consents, { body: { firmId: service.firmA, consent } })).status).toBe(404)
    expect((await service.call('firmB', `GET /v1/plants/${id}/history-consents`)).status).toBe(404)
  })
})

describe('a consent to share a history', () => {
  test('is refused to nobody, to oneself, twice, or of tomorrow; and what was never open can not be closed', async () => {
    expect(await share('firmB', { firmId: 'frm_00000000000000000000000000' })).toMatchObject({
      status: 422,
      body: { code: 'reference-not-found', errors: [{ pointer: '/firmId' }] },
    })
    expect(await share('firmB', { firmId: service.firmB })).toMatchObject({ status: 400 })
    const givenAt = new Date(Date.now() + 86_400_000).toISOString()
    expect(await share('firmB', { consent: { ...consent, givenAt } })).toMatchObject({ status: 400 })
    expect((await close('firmB', 'frm_00000000000000000000000000')).status).toBe(404)
    const statuses = (await Promise.all([share('firmB'), share('firmB')])).map(({ status }) => status)
    expect(statuses.sort()).toEqual([201, 409])
    expect((await close('firmB')).status).toBe(201)
    expect((await close('firmB')).status).toBe(409)
  })

  test('can not be recorded by who would gain from it', async () => {
    // As the receiving firm, past the routes: the policies and keys refuse.
    const client = await connect(service.databaseUrl, 'll_firm')
    await client.query("select set_config('app.firm', $1, false)", [uuidOf('firm', service.firmB)])
    const [plant, a, b] = [uuidOf('plant', plantId), uuidOf('firm', service.firmA), uuidOf('firm', service.firmB)]
    await expect(
      client.query(
        `insert into plant_history_consent
           (plant_id, from_firm, to_firm, turn, consent, consented_at, evidence, recorded_at, key_id)
         values ($1, $2, $3, 1, 'given', now(), 'X', now(), 'k')`,
        [plant, a, b],
      ),
    ).rejects.toThrow(/row-level security/)
  })
})

describe('the role behind the shared part', () => {
  const columns = 'id, tested_on, efficiency'
  test('sees nothing for no firm, nothing without consent, and never sheet, tester or key', async () => {
    const client = await connect(service.databaseUrl, 'll_sharing')
    const seen = async () => (await client.query(`select ${columns} from field_test`)).rowCount
    expect(await seen()).toBe(0)
    await client.query("select set_config('app.firm', $1, false)", [uuidOf('firm', service.firmB)])
    expect(await seen()).toBe(0)
    await share('firmA')
    expect(await seen()).toBeGreaterThan(0)
    for (const column of ['raw', 'salt', 'tester_id', 'key_id', 'findings', 'context_sha256', 'flow_m3_s']) {
      await expect(client.query(`select ${column} from field_test`), column).rejects.toThrow(/permission denied/)
    }
    for (const table of ['test_note', 'firm', 'tester', 'context_snapshot', 'ledger_entry', 'firm_plant']) {
      await expect(client.query(`select from ${table}`), table).rejects.toThrow(/permission denied/)
    }
    await close('firmA')
    expect(await seen()).toBe(0)
  })

  test('is nobody: no pool, no login, no member but who migrates; its functions are for firms alone', async () => {
    const login = await connect(service.databaseUrl)
    const { rows } = await login.query(
      `select rolcanlogin or rolsuper or rolbypassrls as open,
              pg_has_role('ll_firm', 'll_sharing', 'member') or pg_has_role('ll_writer', 'll_sharing', 'member') as reached,
              has_schema_privilege('ll_sharing', 'll', 'create') as makes
       from pg_roles where rolname = 'll_sharing'`,
    )
    expect(rows).toEqual([{ open: false, reached: false, makes: false }])
    const { rows: callers } = await login.query(
      `select p.proname::text as name, array(select r.rolname::text from pg_roles r
                where r.rolname like 'll\\_%' and has_function_privilege(r.oid, p.oid, 'execute') order by 1) as roles
       from pg_proc p where p.pronamespace = 'll'::regnamespace and p.prosecdef order by 1`,
    )
    expect(callers).toEqual([
      { name: 'note_comparison', roles: ['ll_owner', 'll_statistics'] },
      { name: 'note_fact', roles: ['ll_owner', 'll_statistics'] },
      { name: 'plant_known', roles: ['ll_firm', 'll_sharing'] },
      { name: 'shared_history', roles: ['ll_firm', 'll_sharing'] },
    ])
  })

  test('reads a plant’s tests from the index, among many', async () => {
    const login = await connect(service.databaseUrl)
    // 40,000 more tests of 2,000 plants, copied from one.
    await login.query(
      `
      insert into ll.plant (id, code, kind, registered_by)
        select gen_random_uuid(), 'BULK-' || n, 'well', $1::uuid from generate_series(1, 2000) n;`.replace(
        '$1',
        `'${uuidOf('firm', service.firmA)}'`,
      ),
    )
    await login.query(
      `insert into ll.firm_plant (firm_id, plant_id) select registered_by, id from ll.plant where code like 'BULK-%'`,
    )
    await login.query(`
      insert into ll.field_test (id, firm_id, plant_id, tester_id, tested_on, received_at, edition, raw, raw_sha256, salt,
                                 context_sha256, evaluation_sha256, soundness, findings, efficiency, key_id)
        select gen_random_uuid(), test.firm_id, plant.id, test.tester_id, date '2020-01-01' + n, now(), test.edition,
               test.raw, test.raw_sha256, test.salt, test.context_sha256, test.evaluation_sha256, test.soundness,
               '[]', 0.6, 'bulk'
        from ll.field_test test, ll.plant plant, generate_series(1, 20) n
        where test.id = '${uuidOf('test', before)}' and plant.code like 'BULK-%'`)
    await login.query('analyze ll.field_test, ll.plant, ll.firm_plant, ll.plant_history_consent')
    await share('firmA')
    const plan = async (role: string, firm: string) => {
      const client = await connect(service.databaseUrl, role)
      await client.query("select set_config('app.firm', $1, false)", [uuidOf('firm', firm)])
      const { rows } = await client.query(
        `explain (analyze, costs off, timing off, summary off)
         select ${columns} from field_test
         where plant_id = '${uuidOf('plant', plantId)}' and (tested_on, id) > ('-infinity', '00000000-0000-0000-0000-000000000000')
         order by tested_on, id limit 51`,
      )
      return rows.map((row) => row['QUERY PLAN']).join('\n')
    }
    const plans = [await plan('ll_sharing', service.firmB), await plan('ll_firm', service.firmA)]
    for (const one of plans) {
      expect(one).toMatch(/Index (Only )?Scan.* (using|on) field_test_plant/)
      expect(one).not.toMatch(/Seq Scan on field_test/)
    }
    await close('firmA')
  })
})
