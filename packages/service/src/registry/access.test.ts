import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { type Caller, startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { connect } from '../db/testing.ts'
import type { AccessRequest } from './access-schemas.ts'
import type { Meter, PlantLookup } from './meter-schemas.ts'
import type { Plant } from './schemas.ts'

let service: TestService
beforeAll(async () => {
  service = await startTestService()
})
afterAll(() => service.close())

type Page<T> = { items: T[]; next?: string }

async function plant(code: string): Promise<Plant> {
  const body = { code, kind: 'well', region: 'Upper-Ambermoor', reference: 'North well' }
  const answer = await service.call<Plant>('firmA', 'POST /v1/plants', { body })
  expect(answer.status).toBe(201)
  return answer.body
}
const addMeter = (id: string, body: object, caller: Caller = 'firmA') =>
  service.call<Meter>(caller, `POST /v1/plants/${id}/meters`, { body })
const metersOf = async (id: string) => (await service.call<Page<Meter>>('firmA', `GET /v1/plants/${id}/meters`)).body
const foundBy = async (query: string, caller: Caller = 'firmA') =>
  (await service.call<Page<Plant>>(caller, `GET /v1/plants?${query}`)).body.items.map(({ code }) => code)
const lookUp = (caller: Caller, query: string) => service.call<PlantLookup>(caller, `GET /v1/known-plants?${query}`)

describe('a utility meter', () => {
  test('is recorded from a day on; the last word on it counts', async () => {
    const { id } = await plant('MTR-1')
    expect((await addMeter(id, { number: '77-1', from: '2020-01-01' })).body).toEqual({
      number: '77-1',
      from: '2020-01-01',
    })
    await addMeter(id, { number: '77-1', from: '2020-01-01', until: '2024-06-30' })
    await addMeter(id, { number: '88-2', from: '2024-07-01' })
    await addMeter(id, { number: '99-3', from: '2024-07-01' })
    await addMeter(id, { number: '99-3', from: '2024-07-01', mistaken: true })
    expect(await metersOf(id)).toEqual({
      items: [
        { number: '77-1', from: '2020-01-01', until: '2024-06-30' },
        { number: '88-2', from: '2024-07-01' },
      ],
    })
    const one = await service.call<Page<Meter>>('firmA', `GET /v1/plants/${id}/meters?limit=1`)
    const two = await service.call<Page<Meter>>('firmA', `GET /v1/plants/${id}/meters?cursor=${one.body.next}`)
    expect([...one.body.items, ...two.body.items].map(({ number }) => number)).toEqual(['77-1', '88-2'])
    expect(await addMeter(id, { number: '1', from: '2026-01-02', until: '2026-01-01' })).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '/until', code: 'wrong-shape' }] },
    })
  })

  test('finds its plants, by default those it is on today', async () => {
    const [one, two] = [await plant('MTR-2'), await plant('MTR-3')]
    await addMeter(one.id, { number: '55-5', from: '2020-01-01', until: '2024-06-30' })
    await addMeter(two.id, { number: '55-5', from: '2024-07-01' })
    expect(await foundBy('meterNumber=55-5')).toEqual(['MTR-3'])
    expect(await foundBy('meterNumber=55-5&on=2024-06-30')).toEqual(['MTR-2'])
    expect(await foundBy('meterNumber=55-5&on=2019-12-31')).toEqual([])
    expect(await foundBy('meterNumber=55-5&code=MTR-2')).toEqual([])
    await addMeter(one.id, { number: '55-5', from: '2025-01-01' })
    expect(await foundBy('meterNumber=55-5')).toEqual(['MTR-2', 'MTR-3'])
    expect(await foundBy('meterNumber=55-5', 'admin')).toEqual(['MTR-2', 'MTR-3'])
  })

  test('of a plant without access is not there, neither to read, to find by nor to record', async () => {
    const { id } = await plant('MTR-4')
    await addMeter(id, { number: '66-6', from: '2020-01-01' })
    expect(await foundBy('meterNumber=66-6', 'firmB')).toEqual([])
    expect((await service.call('firmB', `GET /v1/plants/${id}/meters`)).status).toBe(404)
    expect((await addMeter(id, { number: '1', from: '2020-01-01' }, 'firmB')).status).toBe(404)
  })
})

describe('a plant looked up', () => {
  test('is shown to who has access; of any other only that it is there, and how to ask', async () => {
    const made = await plant('LKP-1')
    await addMeter(made.id, { number: '44-4', from: '2020-01-01' })
    for (const query of ['code=LKP-1', 'meterNumber=44-4']) {
      expect((await lookUp('firmA', query)).body).toEqual({ outcome: 'accessible', plants: [made] })
      const { body } = await lookUp('firmB', query)
      expect(body).toEqual({ outcome: 'exists', plants: [], ask: expect.stringContaining('POST /v1/access-requests') })
      // Neither where, nor whose, nor under which id or code.
      expect(JSON.stringify(body)).not.toMatch(/plt_|frm_|Upper-Ambermoor|North well|LKP-1/)
    }
    for (const query of ['code=LKP-2', 'meterNumber=LKP-1', 'code=44-4', 'meterNumber=44-4&on=2019-01-01']) {
      expect((await lookUp('firmB', query)).body).toEqual({ outcome: 'unknown', plants: [] })
    }
  })

  test.each(['', 'code=A&meterNumber=B'])('by %j is refused: one of the two', async (query) => {
    expect(await lookUp('firmA', query)).toMatchObject({ status: 400, body: { errors: [{ parameter: 'code' }] } })
  })
})

describe('a request for access', () => {
  const consent = { givenAt: '2026-05-04T09:30:00-07:00', by: 'grower', evidence: 'CONS-17' }
  const ask = (plantCode: string, more: object = {}, caller: Caller = 'firmB') =>
    service.call<AccessRequest>(caller, 'POST /v1/access-requests', {
      body: { plantCode, consent: { ...consent, ...more } },
    })
  const decide = (id: string, body: object, caller: Caller = 'admin') =>
    service.call<AccessRequest>(caller, `POST /v1/access-requests/${id}/decision`, { body })

  test('is granted by an administrator, and opens the plant', async () => {
    const made = await plant('ACR-1')
    const asked = await ask('ACR-1')
    expect(asked).toMatchObject({
      status: 201,
      body: { firmId: service.firmB, plantCode: 'ACR-1', state: 'open', consent: { evidence: 'CONS-17' } },
    })
    expect(JSON.stringify(asked.body)).not.toContain('plt_')
    expect(await ask('ACR-1')).toMatchObject({ status: 409, body: { code: 'conflict' } })
    const open = await service.call<Page<AccessRequest>>('admin', 'GET /v1/access-requests?state=open')
    expect(open.body.items).toEqual([asked.body])
    expect((await service.call('firmB', `GET /v1/plants/${made.id}`)).status).toBe(404)

    const granted = await decide(asked.body.id, { outcome: 'granted' })
    expect(granted).toMatchObject({ status: 201, body: { state: 'granted', decidedAt: expect.any(String) } })
    expect((await service.call('firmB', `GET /v1/access-requests/${asked.body.id}`)).body).toEqual(granted.body)
    expect((await service.call('firmB', `GET /v1/plants/${made.id}`)).body).toMatchObject({ code: 'ACR-1' })
    expect(await ask('ACR-1')).toMatchObject({ status: 409, body: { detail: expect.stringContaining('already') } })
    for (const outcome of [{ outcome: 'granted' }, { outcome: 'declined', reason: 'consent-not-shown' }]) {
      expect(await decide(asked.body.id, outcome)).toMatchObject({ status: 409 })
    }
    expect((await service.call<Page<object>>('admin', 'GET /v1/access-requests?state=open')).body.items).toEqual([])
  })

  test('is declined with a reason, opens nothing, and may be made again', async () => {
    const made = await plant('ACR-2')
    const { body } = await ask('ACR-2')
    expect((await decide(body.id, { outcome: 'declined' })).status).toBe(400)
    expect((await decide(body.id, { outcome: 'granted', reason: 'consent-not-shown' })).status).toBe(400)
    const declined = await decide(body.id, { outcome: 'declined', reason: 'consent-not-shown' })
    expect(declined.body).toMatchObject({ state: 'declined', reason: 'consent-not-shown' })
    expect((await service.call('firmB', `GET /v1/plants/${made.id}`)).status).toBe(404)
    expect((await ask('ACR-2')).status).toBe(201)
    const list = await service.call<Page<AccessRequest>>('firmB', 'GET /v1/access-requests?state=declined')
    expect(list.body.items.map(({ plantCode }) => plantCode)).toEqual(['ACR-2'])
  })

  test('of an unknown plant, of tomorrow’s consent or by another than the grower is refused', async () => {
    await plant('ACR-3')
    expect(await ask('NO-SUCH')).toMatchObject({
      status: 422,
      body: { code: 'reference-not-found', errors: [{ pointer: '/plantCode', code: 'not-visible' }] },
    })
    const tomorrow = new Date(Date.now() + 86_400_000).toISOString()
    expect(await ask('ACR-3', { givenAt: tomorrow })).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '/consent/givenAt' }] },
    })
    expect(await ask('ACR-3', { by: 'neighbour' })).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '/consent/by', code: 'unknown-value' }] },
    })
    expect((await ask('ACR-3', { note: 'Call Mr X' })).status).toBe(400)
  })

  test('is seen by its firm, administrators and auditors, and decided by administrators alone', async () => {
    await plant('ACR-4')
    const { body } = await ask('ACR-4')
    for (const caller of ['firmB', 'admin', 'auditor'] as const) {
      expect((await service.call(caller, `GET /v1/access-requests/${body.id}`)).body).toEqual(body)
    }
    expect((await service.call('firmA', `GET /v1/access-requests/${body.id}`)).status).toBe(404)
    expect((await service.call<Page<object>>('firmA', 'GET /v1/access-requests')).body.items).toEqual([])
    for (const caller of ['firmA', 'firmB', 'program', 'auditor', 'keeper'] as const) {
      expect((await decide(body.id, { outcome: 'granted' }, caller)).status).toBe(403)
    }
  })
})

test('the function behind a look-up says yes or no, and its role reads no other column', async () => {
  const client = await connect(service.databaseUrl, 'll_sharing')
  for (const table of ['plant', 'field_test', 'plant_meter', 'plant_history_consent']) {
    await expect(client.query(`select * from ${table}`), table).rejects.toThrow(/permission denied/)
  }
  for (const column of ['region', 'registered_by', 'kind', 'created_at']) {
    await expect(client.query(`select ${column} from plant`), column).rejects.toThrow(/permission denied/)
  }
  for (const role of ['ll_program', 'll_admin', 'll_auditor', 'll_keeper', 'll_gate', 'll_writer']) {
    const other = await connect(service.databaseUrl, role)
    await expect(other.query("select plant_known('LKP-1', null, current_date)"), role).rejects.toThrow(
      /permission denied/,
    )
  }
})
