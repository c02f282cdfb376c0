import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { type Caller, startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { connect } from '../db/testing.ts'
import type { RegistryChange } from './change-schemas.ts'
import type { InstrumentCheck, Plant, Tester } from './schemas.ts'

let service: TestService
beforeAll(async () => {
  service = await startTestService()
})
afterAll(() => service.close())

type Page<T> = { items: T[]; next?: string }
type Route = `${string} ${string}`

const make = async <T extends { id: string }>(caller: Caller, route: Route, body: object): Promise<T> => {
  const answer = await service.call<T>(caller, route, { body })
  expect(answer).toMatchObject({ status: 201 })
  return answer.body
}
const tagOf = async (caller: Caller, address: string): Promise<string> => {
  const answer = await service.call(caller, `GET ${address}`)
  expect(answer.status).toBe(200)
  return String(answer.headers.etag)
}
const patch = (caller: Caller, address: string, body: object, ifMatch?: string) =>
  service.call(caller, `PATCH ${address}`, {
    body,
    headers: { 'content-type': 'application/merge-patch+json', ...(ifMatch && { 'if-match': ifMatch }) },
  })
const changesOf = async (caller: Caller, address: string): Promise<RegistryChange[]> =>
  (await service.call<Page<RegistryChange>>(caller, `GET ${address}/changes`)).body.items

const gauge = {
  kind: 'pressure-gauge',
  effectiveFrom: '2026-01-01',
  fullScale: { value: 100, unit: 'psi' },
  accuracy: { percent: 1, of: 'full-scale', stated: 'limit' },
}
/** One record of each kind, who changes it, and two changes of it. */
const KINDS: [string, Caller, () => Promise<{ id: string }>, object, object][] = [
  ['firms', 'admin', () => make('admin', 'POST /v1/firms', { name: 'First (invented)' }), { name: 'B' }, { name: 'C' }],
  [
    'programs',
    'admin',
    () => make('admin', 'POST /v1/programs', { name: 'First (invented)' }),
    { name: 'B' },
    { name: 'C' },
  ],
  [
    'plants',
    'firmA',
    () => make('firmA', 'POST /v1/plants', { code: 'CHG-1', kind: 'well', region: 'north' }),
    { region: 'south' },
    { region: null, reference: 'Ours' },
  ],
  [
    'testers',
    'firmA',
    () => make('firmA', 'POST /v1/testers', { code: 'CHG-T', name: 'Aldous Ferrant' }),
    { name: 'Brann Ostwick' },
    { name: null },
  ],
  [
    'instruments',
    'firmA',
    () => make('firmA', 'POST /v1/instruments', { code: 'CHG-I', ...gauge }),
    { kind: 'pressure-transducer' },
    { kind: 'pressure-gauge' },
  ],
]

describe.each(KINDS)('of %s', (noun, caller, register, first, second) => {
  let address = ''
  beforeAll(async () => {
    address = `/v1/${noun}/${(await register()).id}`
  })

  test('a change needs the ETag of what was read, and of two changes of one state one is refused', async () => {
    expect(await patch(caller, address, first)).toMatchObject({ status: 428, body: { code: 'precondition-required' } })
    const tag = await tagOf(caller, address)
    const outcomes = await Promise.all([patch(caller, address, first, tag), patch(caller, address, first, tag)])
    expect(outcomes.map(({ status }) => status).sort()).toEqual([200, 412])
    const changed = outcomes.find(({ status }) => status === 200)!
    expect(changed.body).toMatchObject(first)
    expect(changed.headers.etag).toBe(await tagOf(caller, address))
    expect(changed.headers.etag).not.toBe(tag)
    expect((await service.call(caller, `GET ${address}`)).body).toEqual(changed.body)
  })

  test('null removes, what is left out stays, and what changes nothing leaves no trace', async () => {
    const answer = await patch(caller, address, second, await tagOf(caller, address))
    expect(answer.status).toBe(200)
    const kept = Object.fromEntries(Object.entries(second).filter(([, value]) => value !== null))
    expect(answer.body).toMatchObject(kept)
    for (const [member, value] of Object.entries(second)) {
      if (value === null) expect(answer.body).not.toHaveProperty(member)
    }
    const before = await changesOf(caller, address)
    expect((await patch(caller, address, {}, String(answer.headers.etag))).body).toEqual(answer.body)
    expect((await patch(caller, address, second, String(answer.headers.etag))).body).toEqual(answer.body)
    expect(await changesOf(caller, address)).toEqual(before)
  })

  test('the history begins with the registration and tells every change, page by page', async () => {
    const all = await changesOf(caller, address)
    const keyId = service.keys[caller as 'admin'].split('_')[2]
    expect(all[0]).toMatchObject({ deed: 'registered', keyId })
    expect(all.length).toBeGreaterThanOrEqual(3)
    for (const { keyId: by, at, changes } of all) {
      expect(by).toBe(keyId)
      expect(Date.parse(at)).toBeGreaterThan(0)
      expect(changes.length).toBeGreaterThan(0)
    }
    const one = await service.call<Page<RegistryChange>>(caller, `GET ${address}/changes?limit=1`)
    const two = await service.call<Page<RegistryChange>>(caller, `GET ${address}/changes?cursor=${one.body.next}`)
    expect([...one.body.items, ...two.body.items]).toEqual(all)
    expect((await service.call<Page<RegistryChange>>('auditor', `GET ${address}/changes`)).body.items).toEqual(all)
  })

  test('nobody else changes it or learns of its changes', async () => {
    for (const other of ['firmB', 'program', 'keeper', 'auditor', 'nobody'] as const) {
      expect((await patch(other, address, first, '*')).status).toBeGreaterThanOrEqual(401)
      if (other !== 'auditor') expect((await service.call(other, `GET ${address}/changes`)).status).toBeGreaterThan(400)
    }
    const nowhere = address.replace(/.$/, (last) => (last === '0' ? '1' : '0'))
    expect((await patch(caller, nowhere, first, '*')).status).toBe(404)
    expect((await patch(caller, address, { code: 'X' }, '*')).status).toBe(400)
  })
})

describe('the history', () => {
  test('tells from what to what', async () => {
    const { id } = await make<Plant>('firmA', 'POST /v1/plants', { code: 'CHG-2', kind: 'well', region: 'north' })
    await patch('firmA', `/v1/plants/${id}`, { region: 'south' }, '*')
    await patch('firmA', `/v1/plants/${id}`, { region: null }, '*')
    expect((await changesOf('firmA', `/v1/plants/${id}`)).map(({ deed, changes }) => [deed, changes])).toEqual([
      [
        'registered',
        [
          { member: 'code', change: 'set', to: 'CHG-2' },
          { member: 'kind', change: 'set', to: 'well' },
          { member: 'region', change: 'set', to: 'north' },
        ],
      ],
      ['changed', [{ member: 'region', change: 'changed', from: 'north', to: 'south' }]],
      ['changed', [{ member: 'region', change: 'removed', from: 'south' }]],
    ])
  })

  test('of a tester says that the name changed, and holds no name', async () => {
    const { id } = await make<Tester>('firmA', 'POST /v1/testers', { code: 'CHG-N', name: 'Corvin Maddox' })
    await patch('firmA', `/v1/testers/${id}`, { name: 'Delia Frost' }, '*')
    await patch('firmA', `/v1/testers/${id}`, { name: null }, '*')
    const changes = (await changesOf('firmA', `/v1/testers/${id}`)).flatMap((change) => change.changes)
    expect(changes.filter(({ member }) => member === 'name')).toEqual([
      { member: 'name', change: 'set', personal: true },
      { member: 'name', change: 'changed', personal: true },
      { member: 'name', change: 'removed', personal: true },
    ])
    const database = await connect(service.databaseUrl)
    for (const table of ['tester', 'registry_change']) {
      const { rows } = await database.query(`select row_to_json(t)::text as row from ll.${table} t`)
      for (const { row } of rows) expect(row).not.toMatch(/Maddox|Frost/)
    }
    expect(service.log.join('\n')).not.toMatch(/Maddox|Frost/)
  })

  test('holds what is recorded from a day on: equipment, qualification, certificate, check, meter, access', async () => {
    const plant = await make<Plant>('firmA', 'POST /v1/plants', { code: 'CHG-3', kind: 'well' })
    await service.call('firmA', `POST /v1/plants/${plant.id}/equipment`, {
      body: { effectiveFrom: '2026-01-01', stages: 4 },
    })
    await service.call('firmA', `POST /v1/plants/${plant.id}/meters`, { body: { number: 'M-3', from: '2026-01-01' } })
    const grant = { body: { firmId: service.firmB } }
    await service.call('admin', `POST /v1/plants/${plant.id}/access`, grant)
    await service.call('admin', `POST /v1/plants/${plant.id}/access`, grant)
    const deeds = async (caller: Caller) => (await changesOf(caller, `/v1/plants/${plant.id}`)).map(({ deed }) => deed)
    expect(await deeds('firmA')).toEqual(['registered', 'equipment-recorded', 'meter-recorded'])
    expect(await deeds('firmB')).toEqual(['registered', 'equipment-recorded', 'meter-recorded', 'access-given'])
    expect(await deeds('admin')).toEqual(await deeds('firmB'))

    const instrument = await make('firmA', 'POST /v1/instruments', { code: 'CHG-I3', ...gauge })
    const revision = { ...gauge, kind: undefined, effectiveFrom: '2026-02-01' }
    await service.call('firmA', `POST /v1/instruments/${instrument.id}/revisions`, { body: revision })
    const check = { checkedOn: '2026-03-01', referenceValue: 50, shownValue: 50.5, unit: 'psi' }
    await service.call('firmA', `POST /v1/instruments/${instrument.id}/checks`, { body: check })
    const tester = await make('firmA', 'POST /v1/testers', { code: 'CHG-T3' })
    const held = { code: 'PT-2', validFrom: '2026-01-01', validUntil: '2026-12-31' }
    await service.call('firmA', `POST /v1/testers/${tester.id}/qualifications`, { body: held })
    expect((await changesOf('firmA', `/v1/instruments/${instrument.id}`)).slice(1)).toMatchObject([
      { deed: 'revision-recorded', changes: [{ member: 'revision', to: { effectiveFrom: '2026-02-01' } }] },
      { deed: 'check-recorded', changes: [{ member: 'check', to: { ...check, outcome: 'within' } }] },
    ])
    expect((await changesOf('firmA', `/v1/testers/${tester.id}`)).slice(1)).toMatchObject([
      { deed: 'qualification-recorded', changes: [{ member: 'qualification', to: held }] },
    ])
  })

  test('of a shared plant hides the other firm’s key and its own name for the plant', async () => {
    const { id } = await make<Plant>('firmA', 'POST /v1/plants', {
      code: 'CHG-4',
      kind: 'well',
      reference: 'Secret name',
    })
    await service.call('admin', `POST /v1/plants/${id}/access`, { body: { firmId: service.firmB } })
    await patch('firmB', `/v1/plants/${id}`, { reference: 'Theirs' }, '*')
    await service.call('firmB', `POST /v1/plants/${id}/equipment`, { body: { effectiveFrom: '2026-01-01', stages: 4 } })
    expect(await patch('firmB', `/v1/plants/${id}`, { region: 'east' }, '*')).toMatchObject({ status: 403 })
    expect((await patch('admin', `/v1/plants/${id}`, { region: 'west' }, '*')).body).toMatchObject({ region: 'west' })

    const seenByA = await changesOf('firmA', `/v1/plants/${id}`)
    expect(seenByA.map(({ deed, by }) => [deed, by ?? 'own'])).toEqual([
      ['registered', 'own'],
      ['changed', 'own'],
      ['equipment-recorded', 'another-firm'],
      ['changed', 'administrator'],
    ])
    const seenByB = JSON.stringify(await changesOf('firmB', `/v1/plants/${id}`))
    expect(seenByB).not.toContain('Secret name')
    expect(seenByB).not.toContain(service.keys.firmA.split('_')[2]!)
    expect(JSON.stringify(seenByA)).not.toContain('Theirs')
    expect(JSON.stringify(seenByA)).not.toContain(service.keys.firmB.split('_')[2]!)
    expect((await patch('admin', `/v1/plants/${id}`, { reference: 'x' }, '*')).status).toBe(403)
  })
})

describe('a field check', () => {
  test('is judged by what held on its day, kept as judged, and listed', async () => {
    const { id } = await make('firmA', 'POST /v1/instruments', { code: 'CHK-1', ...gauge })
    const tighter = { accuracy: { percent: 0.25, of: 'full-scale', stated: 'limit' }, fullScale: gauge.fullScale }
    const record = (body: object) =>
      service.call<InstrumentCheck>('firmA', `POST /v1/instruments/${id}/checks`, { body })
    const read = { referenceValue: 50, shownValue: 50.5, unit: 'psi' }
    const first = await record({ checkedOn: '2026-03-01', ...read })
    expect(first).toMatchObject({
      status: 201,
      body: { ...read, difference: 0.5, allowed: 1, revision: 1, outcome: 'within' },
    })
    const revised = { effectiveFrom: '2026-04-01', ...tighter }
    await service.call('firmA', `POST /v1/instruments/${id}/revisions`, { body: revised })
    expect((await record({ checkedOn: '2026-04-01', ...read })).body).toMatchObject({
      allowed: 0.25,
      revision: 2,
      outcome: 'outside',
    })
    const early = await record({ checkedOn: '2025-12-31', ...read })
    expect(early.body).toMatchObject({ difference: 0.5, outcome: 'no-accuracy-stated' })
    expect(early.body).not.toHaveProperty('allowed')
    const list = await service.call<Page<InstrumentCheck>>('firmA', `GET /v1/instruments/${id}/checks`)
    expect(list.body.items.map(({ outcome }) => outcome)).toEqual(['within', 'outside', 'no-accuracy-stated'])
    expect(list.body.items[0]).toEqual(first.body)
    expect(await record({ checkedOn: '2026-03-01', ...read, unit: 'ft' })).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '/unit', code: 'unknown-unit' }] },
    })
    for (const route of ['GET', 'POST'] as const) {
      const call = route === 'POST' ? { body: { checkedOn: '2026-03-01', ...read } } : {}
      expect((await service.call('firmB', `${route} /v1/instruments/${id}/checks`, call)).status).toBe(404)
    }
  })
})
