import type { Context } from '@liftledger/calc'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import type { Firm, Instrument, Plant, Tester } from './schemas.ts'

let service: TestService
beforeAll(async () => {
  service = await startTestService()
})
afterAll(() => service.close())

type Page<T> = { items: T[]; next?: string }

const wellCasing = { effectiveFrom: '2019-03-01', stages: 5, dischargeInsideDiameter: { value: 8.071, unit: 'in' } }

async function plant(code: string, more: object = {}): Promise<Plant> {
  const answer = await service.call<Plant>('firmA', 'POST /v1/plants', { body: { code, kind: 'well', ...more } })
  expect(answer.status).toBe(201)
  expect(answer.headers.location).toBe(`/v1/plants/${answer.body.id}`)
  return answer.body
}

describe('firms and programs', () => {
  test('are registered, read and listed by administrators', async () => {
    const made = await service.call<Firm>('admin', 'POST /v1/firms', {
      body: { name: 'Fernhollow Testing (invented)' },
    })
    expect(made.status).toBe(201)
    expect((await service.call('admin', `GET /v1/firms/${made.body.id}`)).body).toEqual(made.body)
    const list = await service.call<Page<Firm>>('admin', 'GET /v1/firms?limit=200')
    expect(list.body.items.map(({ id }) => id)).toEqual([service.firmA, service.firmB, made.body.id])
    expect((await service.call('admin', 'POST /v1/programs', { body: { name: 'Second (invented)' } })).status).toBe(201)
  })

  test('are a directory of programs for firms, while a program sees itself', async () => {
    const all = await service.call<Page<{ id: string }>>('firmA', 'GET /v1/programs')
    expect(all.body.items.length).toBeGreaterThanOrEqual(1)
    const own = await service.call<Page<{ id: string }>>('program', 'GET /v1/programs')
    expect(own.body.items.map(({ id }) => id)).toEqual([service.program])
  })

  test('can not be read by a firm', async () => {
    for (const route of ['GET /v1/firms', `GET /v1/firms/${service.firmA}`, 'POST /v1/firms'] as const) {
      expect((await service.call('firmA', route)).status).toBe(403)
    }
  })
})

describe('a plant', () => {
  test('is registered with its equipment, read, and found by its code', async () => {
    const made = await plant('AMB-001', { region: 'north', reference: 'Old orchard', equipment: wellCasing })
    expect(made).toMatchObject({ code: 'AMB-001', kind: 'well', region: 'north', reference: 'Old orchard' })
    expect((await service.call('firmA', `GET /v1/plants/${made.id}`)).body).toEqual(made)
    const found = await service.call<Page<Plant>>('firmA', 'GET /v1/plants?code=AMB-001')
    expect(found.body).toEqual({ items: [made] })
    const equipment = await service.call<Page<object>>('firmA', `GET /v1/plants/${made.id}/equipment`)
    expect(equipment.body.items).toEqual([{ revision: 1, ...wellCasing }])
  })

  test('of another firm is not there for anyone else, whatever is asked', async () => {
    const made = await plant('AMB-002')
    const absent = made.id.replace(/.$/, (last) => (last === '0' ? '1' : '0'))
    const asks: [`${string} ${string}`, object | undefined][] = [
      ['GET /v1/plants/ID', undefined],
      ['GET /v1/plants/ID/equipment', undefined],
      ['POST /v1/plants/ID/equipment', wellCasing],
    ]
    for (const [route, body] of asks) {
      const call = { headers: { 'x-request-id': 'the-same-for-both' }, ...(body && { body }) }
      const foreign = await service.call('firmB', route.replace('ID', made.id) as `${string} ${string}`, call)
      const missing = await service.call('firmB', route.replace('ID', absent) as `${string} ${string}`, call)
      expect(foreign.status).toBe(404)
      expect(JSON.stringify(foreign.body).replaceAll(made.id, 'ID')).toBe(
        JSON.stringify(missing.body).replaceAll(absent, 'ID'),
      )
    }
    const list = await service.call<Page<Plant>>('firmB', 'GET /v1/plants?code=AMB-002')
    expect(list.body.items).toEqual([])
  })

  test('with a code that is taken is a conflict, and nothing of it is stored', async () => {
    await plant('AMB-003')
    const body = { code: 'AMB-003', kind: 'booster', equipment: wellCasing }
    const other = await service.call('firmB', 'POST /v1/plants', { body })
    expect(other).toMatchObject({ status: 409, body: { code: 'conflict', detail: expect.stringContaining('/access') } })
    expect(JSON.stringify(other.body)).not.toContain('plt_')
    const own = await service.call('firmA', 'POST /v1/plants', { body })
    expect(own).toMatchObject({
      status: 409,
      body: { detail: expect.stringMatching(/^This firm has the plant AMB-003 already: plt_/) },
    })
  })

  test('is shared once an administrator says so; each firm has its own name for it', async () => {
    const made = await plant('AMB-004', { reference: 'Ours' })
    const grant = () => service.call('admin', `POST /v1/plants/${made.id}/access`, { body: { firmId: service.firmB } })
    const first = await grant()
    expect(first).toMatchObject({ status: 201, body: { plantId: made.id, firmId: service.firmB } })
    expect((await grant()).body).toEqual(first.body)
    const { reference: _, ...shared } = made
    expect((await service.call('firmB', `GET /v1/plants/${made.id}`)).body).toEqual(shared)
    expect((await service.call('firmB', `POST /v1/plants/${made.id}/equipment`, { body: wellCasing })).status).toBe(201)
    const seen = await service.call<Page<object>>('firmA', `GET /v1/plants/${made.id}/equipment`)
    expect(seen.body.items).toEqual([{ revision: 1, ...wellCasing }])
  })

  test('or a firm that does not exist can not be shared', async () => {
    const made = await plant('AMB-005')
    const nowhere = await service.call('admin', 'POST /v1/plants/plt_00000000000000000000000000/access', {
      body: { firmId: service.firmB },
    })
    expect(nowhere.status).toBe(404)
    const nobody = await service.call('admin', `POST /v1/plants/${made.id}/access`, {
      body: { firmId: 'frm_00000000000000000000000000' },
    })
    expect(nobody).toMatchObject({
      status: 422,
      body: { code: 'reference-not-found', errors: [{ pointer: '/firmId' }] },
    })
    expect(
      (await service.call('firmA', `POST /v1/plants/${made.id}/access`, { body: { firmId: service.firmB } })).status,
    ).toBe(403)
  })

  test('in a list comes once, also over many pages', async () => {
    const codes = Array.from({ length: 7 }, (_, n) => `PAGE-${n}`)
    for (const code of codes) await plant(code)
    const seen: string[] = []
    let next: string | undefined = ''
    while (next !== undefined) {
      const page: { body: Page<Plant>; headers: Readonly<Record<string, unknown>> } = await service.call(
        'firmA',
        `GET /v1/plants?limit=2${next && `&cursor=${next}`}`,
      )
      seen.push(...page.body.items.map(({ code }) => code))
      next = page.body.next
      if (next !== undefined) expect(page.headers.link).toContain(`cursor=${next}`)
    }
    expect(seen.filter((code) => code.startsWith('PAGE-'))).toEqual(codes)
    expect(new Set(seen).size).toBe(seen.length)
  })

  test('with a cursor of another list or filter is refused', async () => {
    const { body } = await service.call<Page<Plant>>('firmA', 'GET /v1/plants?limit=1')
    for (const route of [
      `GET /v1/plants?code=AMB-001&cursor=${body.next}`,
      `GET /v1/testers?cursor=${body.next}`,
    ] as const) {
      expect(await service.call('firmA', route)).toMatchObject({ status: 400, body: { code: 'invalid-cursor' } })
    }
  })

  test.each([
    [
      'an unknown unit',
      { equipment: { ...wellCasing, ratedPower: { value: 100, unit: 'HP' } } },
      '/equipment/ratedPower/unit',
      'unknown-unit',
    ],
    [
      'a diameter of zero',
      { equipment: { ...wellCasing, dischargeInsideDiameter: { value: 0, unit: 'in' } } },
      '/equipment/dischargeInsideDiameter/value',
      'number-out-of-range',
    ],
    ['a field of the server', { registeredBy: 'me' }, '/registeredBy', 'unknown-field'],
    ['a code with a space', { code: 'AMB 1' }, '/code', 'wrong-format'],
  ])('with %s is refused at its place', async (_, more, pointer, code) => {
    const answer = await service.call('firmA', 'POST /v1/plants', { body: { code: 'AMB-900', kind: 'well', ...more } })
    expect(answer).toMatchObject({ status: 400, body: { errors: [{ pointer, code }] } })
  })
})

describe('a tester', () => {
  test('is registered without a name too, and gathers qualifications; the last word corrects', async () => {
    const held = { code: 'PT-2', validFrom: '2025-01-01', validUntil: '2025-12-31' }
    const made = await service.call<Tester>('firmA', 'POST /v1/testers', {
      body: { code: 'T-07', qualifications: [held] },
    })
    expect(made).toMatchObject({ status: 201, body: { code: 'T-07', qualifications: [held] } })
    expect(made.body).not.toHaveProperty('name')
    const add = (body: object) =>
      service.call<Tester>('firmA', `POST /v1/testers/${made.body.id}/qualifications`, { body })
    const corrected = { ...held, validUntil: '2026-03-31' }
    expect((await add(corrected)).body.qualifications).toEqual([corrected])
    const renewed = { code: 'PT-2', validFrom: '2026-04-01', validUntil: '2027-03-31' }
    await add(renewed)
    const read = await service.call<Tester>('firmA', `GET /v1/testers/${made.body.id}`)
    expect(read.body.qualifications).toHaveLength(2)
    expect(read.body.qualifications).toEqual(expect.arrayContaining([corrected, renewed]))
  })

  test('of another firm is not there, and its code is free', async () => {
    const body = { code: 'T-08', name: 'An Invented Name' }
    const made = await service.call<Tester>('firmA', 'POST /v1/testers', { body })
    expect((await service.call('firmB', `GET /v1/testers/${made.body.id}`)).status).toBe(404)
    expect(
      (
        await service.call('firmB', `POST /v1/testers/${made.body.id}/qualifications`, {
          body: { code: 'Q', validFrom: '2025-01-01', validUntil: '2025-01-01' },
        })
      ).status,
    ).toBe(404)
    expect((await service.call('firmB', 'POST /v1/testers', { body })).status).toBe(201)
    expect(await service.call('firmA', 'POST /v1/testers', { body })).toMatchObject({
      status: 409,
      body: { code: 'conflict' },
    })
    const found = await service.call<Page<Tester>>('firmA', 'GET /v1/testers?code=T-08')
    expect(found.body.items).toEqual([made.body])
  })

  test('with a qualification that ends before it begins is refused', async () => {
    const backwards = { code: 'PT-2', validFrom: '2026-01-02', validUntil: '2026-01-01' }
    const answer = await service.call('firmA', 'POST /v1/testers', {
      body: { code: 'T-09', qualifications: [backwards] },
    })
    expect(answer).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '/qualifications/0/validUntil', code: 'wrong-shape' }] },
    })
  })
})

describe('an instrument', () => {
  const gauge = {
    code: 'G-1',
    kind: 'pressure-gauge',
    effectiveFrom: '2024-01-01',
    fullScale: { value: 100, unit: 'psi' },
    accuracy: { percent: 1, of: 'full-scale', stated: 'limit' },
  }

  test('is registered and gets new certificates; its newest revision is shown', async () => {
    const made = await service.call<Instrument>('firmA', 'POST /v1/instruments', { body: gauge })
    expect(made).toMatchObject({ status: 201, body: { ...gauge, revision: 1 } })
    const certificate = { number: 'C-55', validFrom: '2026-01-15', validUntil: '2027-01-14' }
    const revised = await service.call<Instrument>('firmA', `POST /v1/instruments/${made.body.id}/revisions`, {
      body: { effectiveFrom: '2026-01-15', fullScale: gauge.fullScale, accuracy: gauge.accuracy, certificate },
    })
    expect(revised).toMatchObject({ status: 201, body: { revision: 2, certificate } })
    expect((await service.call('firmA', `GET /v1/instruments/${made.body.id}`)).body).toEqual(revised.body)
    const found = await service.call<Page<Instrument>>('firmA', 'GET /v1/instruments?code=G-1')
    expect(found.body.items).toEqual([revised.body])
    expect((await service.call('firmB', `GET /v1/instruments/${made.body.id}`)).status).toBe(404)
    expect((await service.call('firmB', 'GET /v1/instruments')).body).toEqual({ items: [] })
  })

  test('with a certificate that ends before it begins, or a code that is taken, is refused', async () => {
    const certificate = { number: 'C-1', validFrom: '2026-01-02', validUntil: '2026-01-01' }
    const backwards = await service.call('firmA', 'POST /v1/instruments', {
      body: { ...gauge, code: 'G-2', certificate },
    })
    expect(backwards).toMatchObject({ status: 400, body: { errors: [{ pointer: '/certificate/validUntil' }] } })
    expect((await service.call('firmA', 'POST /v1/instruments', { body: gauge })).status).toBe(409)
  })
})

describe('the context of a visit', () => {
  beforeAll(async () => {
    const made = await plant('CTX-1', { region: 'south', equipment: { effectiveFrom: '2020-01-01', stages: 3 } })
    const more = (body: object) => service.call('firmA', `POST /v1/plants/${made.id}/equipment`, { body })
    await more({ effectiveFrom: '2025-06-01', stages: 4, meterMultiplier: 40.5 })
    await more({ effectiveFrom: '2025-06-01', stages: 6 })
    await more({ effectiveFrom: '2026-09-01', stages: 9 })
    await service.call('firmA', 'POST /v1/testers', {
      body: {
        code: 'T-CTX',
        name: 'Somebody Invented',
        qualifications: [
          { code: 'Z', validFrom: '2026-01-01', validUntil: '2026-12-31' },
          { code: 'A', validFrom: '2024-01-01', validUntil: '2024-12-31' },
        ],
      },
    })
    for (const [code, kind] of [
      ['s-2', 'electric-sounder'],
      ['S-1', 'stopwatch'],
    ]) {
      await service.call('firmA', 'POST /v1/instruments', {
        body: { code, kind, effectiveFrom: '2025-01-01', resolution: { value: 0.01, unit: 's' } },
      })
    }
  })

  const context = (query: string) => service.call<Context>('firmA', `GET /v1/context?${query}`)

  test('holds what was in force on the day, without a name, in one order', async () => {
    const answer = await context('plant=CTX-1&tester=T-CTX&instruments=s-2,S-1,s-2&testedOn=2026-05-04')
    expect(answer.status).toBe(200)
    expect(answer.body).toEqual({
      plant: {
        code: 'CTX-1',
        kind: 'well',
        region: 'south',
        equipment: { revision: 3, effectiveFrom: '2025-06-01', stages: 6 },
      },
      tester: {
        code: 'T-CTX',
        qualifications: [
          { code: 'A', validFrom: '2024-01-01', validUntil: '2024-12-31' },
          { code: 'Z', validFrom: '2026-01-01', validUntil: '2026-12-31' },
        ],
      },
      instruments: [
        { code: 'S-1', kind: 'stopwatch', resolution: { value: 0.01, unit: 's' } },
        { code: 's-2', kind: 'electric-sounder', resolution: { value: 0.01, unit: 's' } },
      ],
    })
  })

  test('on an earlier day holds what was in force then', async () => {
    const answer = await context('plant=CTX-1&tester=T-CTX&instruments=S-1&testedOn=2021-05-04')
    expect(answer.body.plant.equipment).toEqual({ revision: 1, effectiveFrom: '2020-01-01', stages: 3 })
    expect(answer.body.instruments).toEqual([{ code: 'S-1', kind: 'stopwatch' }])
    const before = await context('plant=CTX-1&tester=T-CTX&testedOn=2019-12-31')
    expect(before.body.plant).toEqual({ code: 'CTX-1', kind: 'well', region: 'south' })
    expect(before.body.instruments).toEqual([])
  })

  test('names every record that is not visible', async () => {
    const answer = await service.call(
      'firmB',
      'GET /v1/context?plant=CTX-1&tester=T-CTX&instruments=S-1,none&testedOn=2026-05-04',
    )
    expect(answer).toMatchObject({
      status: 422,
      body: {
        code: 'reference-not-found',
        errors: [
          { pointer: '/plant', code: 'not-visible' },
          { pointer: '/tester' },
          { pointer: '/instruments' },
          { pointer: '/instruments', message: "There is no instrument 'none' that this key may see." },
        ],
      },
    })
  })

  test.each([
    ['testedOn=2026-02-30', 'testedOn', 'wrong-format'],
    ['testedOn=2026-05-04&instruments=a,,b', 'instruments', 'wrong-format'],
    ['testedOn=2026-05-04&plnat=x', 'plnat', 'unknown-field'],
    ['', 'testedOn', 'missing-member'],
  ])('refuses %s by name', async (query, parameter, code) => {
    const answer = await context(`plant=CTX-1&tester=T-CTX&${query}`)
    expect(answer).toMatchObject({ status: 400, body: { code: 'invalid-request', errors: [{ parameter, code }] } })
  })
})
