import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { beforeRepair, registerForVisits, submitVisit } from '../../../../tests/setup/visits.ts'
import type { ProgramTurn } from './schemas.ts'

let service: TestService
beforeAll(async () => {
  service = await startTestService()
  await registerForVisits(service, 'firmA', true)
})
afterAll(() => service.close())

type Page<T> = { items: T[]; next?: string }

const consent = { givenAt: '2026-05-04T09:30:00-07:00', by: 'grower', evidence: 'CONS-9' }
const give = (id: string, more: object = {}, caller: 'firmA' | 'firmB' = 'firmA') =>
  service.call<ProgramTurn>(caller, `POST /v1/tests/${id}/programs`, {
    body: { programId: service.program, consent, ...more },
  })
const takeBack = (id: string, caller: 'firmA' | 'firmB' = 'firmA') =>
  service.call<ProgramTurn>(caller, `POST /v1/tests/${id}/programs/${service.program}/withdrawal`, {
    body: { withdrawnAt: '2026-06-01T08:00:00-07:00' },
  })
const seen = async (id: string) => (await service.call('program', `GET /v1/tests/${id}`)).status

describe('a test', () => {
  test('is seen by a program from the grower’s consent to its withdrawal, turn by turn on record', async () => {
    const id = await submitVisit(service, 'firmA', beforeRepair)
    const other = await submitVisit(service, 'firmA', beforeRepair)
    expect(await seen(id)).toBe(404)
    const given = await give(id)
    expect(given).toMatchObject({
      status: 201,
      body: {
        testId: id,
        programId: service.program,
        turn: 1,
        consent: 'given',
        saidAt: '2026-05-04T16:30:00.000Z',
        evidence: 'CONS-9',
      },
    })
    expect([await seen(id), await seen(other)]).toEqual([200, 404])
    const list = await service.call<Page<{ id: string }>>('program', 'GET /v1/tests')
    expect(list.body.items.map((item) => item.id)).toEqual([id])
    expect(await give(id)).toMatchObject({ status: 409, body: { code: 'conflict' } })

    const withdrawn = await takeBack(id)
    expect(withdrawn).toMatchObject({ status: 201, body: { turn: 2, consent: 'withdrawn' } })
    expect(withdrawn.body).not.toHaveProperty('evidence')
    expect(await seen(id)).toBe(404)
    expect((await service.call('program', `GET /v1/tests/${id}/programs`)).status).toBe(404)
    expect(await takeBack(id)).toMatchObject({ status: 409 })

    const again = await give(id, { consent: { ...consent, evidence: 'CONS-10' } })
    expect(again.body).toMatchObject({ turn: 3, consent: 'given' })
    expect(await seen(id)).toBe(200)
    const turns = [given.body, withdrawn.body, again.body]
    for (const caller of ['firmA', 'program', 'auditor'] as const) {
      expect((await service.call<Page<ProgramTurn>>(caller, `GET /v1/tests/${id}/programs`)).body.items).toEqual(turns)
    }
    const one = await service.call<Page<ProgramTurn>>('firmA', `GET /v1/tests/${id}/programs?limit=2`)
    const two = await service.call<Page<ProgramTurn>>('firmA', `GET /v1/tests/${id}/programs?cursor=${one.body.next}`)
    expect([...one.body.items, ...two.body.items]).toEqual(turns)
  })

  test('stands in the program’s list by day, and once, however often it was given and taken back', async () => {
    const list = async (query = '') => {
      const { body } = await service.call<Page<{ id: string; testedOn: string }>>('program', `GET /v1/tests${query}`)
      return body
    }
    const before = (await list()).items.map((item) => item.id)
    const later = { ...beforeRepair, testedOn: '2026-05-20' }
    const ids = [await submitVisit(service, 'firmA', later), await submitVisit(service, 'firmA', beforeRepair)]
    await submitVisit(service, 'firmA', later)
    for (const id of ids) {
      await give(id)
      await takeBack(id)
    }
    expect((await list()).items.map((item) => item.id)).toEqual(before)
    for (const id of ids) expect((await give(id)).body).toMatchObject({ turn: 3 })
    const expected = [ids[0], ids[1], ...before]
    expect((await list()).items.map((item) => item.id)).toEqual(expected)
    expect((await list('?testedFrom=2026-05-20')).items.map((item) => item.id)).toEqual([ids[0]])
    expect((await list('?plant=AM-12')).items).toHaveLength(expected.length)
    const one = await list('?limit=1')
    const two = await list(`?limit=1&cursor=${one.next}`)
    expect([...one.items, ...two.items].map((item) => item.id)).toEqual(expected.slice(0, 2))
  })

  test('taken back is taken back in all its versions, whichever was named', async () => {
    const first = await submitVisit(service, 'firmA', beforeRepair)
    await give(first)
    const revise = `POST /v1/tests/${first}/revisions?reason=misread` as const
    const { body: second } = await service.call<{ id: string }>('firmA', revise, { body: beforeRepair })
    expect([await seen(first), await seen(second.id)]).toEqual([200, 200])
    expect((await takeBack(first)).status).toBe(201)
    expect([await seen(first), await seen(second.id)]).toEqual([404, 404])
    // Turn by turn on record for each; given again it is the version that is named.
    const turns = await service.call<Page<ProgramTurn>>('firmA', `GET /v1/tests/${second.id}/programs`)
    expect(turns.body.items.map(({ consent }) => consent)).toEqual(['given', 'withdrawn'])
    expect((await give(second.id)).status).toBe(201)
    expect([await seen(first), await seen(second.id)]).toEqual([404, 200])
    expect((await takeBack(second.id)).status).toBe(201)
    expect(await seen(second.id)).toBe(404)
  })

  test('given by five at once is given once', async () => {
    const id = await submitVisit(service, 'firmA', beforeRepair)
    const statuses = (await Promise.all(Array.from({ length: 5 }, () => give(id)))).map(({ status }) => status)
    expect(statuses.sort()).toEqual([201, 409, 409, 409, 409])
  })

  test('that is not the firm’s can neither be given nor taken back', async () => {
    const id = await submitVisit(service, 'firmA', beforeRepair)
    expect((await give(id, {}, 'firmB')).status).toBe(404)
    await give(id)
    expect((await takeBack(id, 'firmB')).status).toBe(404)
    expect((await service.call('firmB', `GET /v1/tests/${id}/programs`)).status).toBe(404)
    expect(await seen(id)).toBe(200)
  })

  test('is refused for a program that is not there, without consent, or with one of tomorrow', async () => {
    const id = await submitVisit(service, 'firmA', beforeRepair)
    const nowhere = 'prg_00000000000000000000000000'
    expect(await give(id, { programId: nowhere })).toMatchObject({
      status: 422,
      body: { code: 'reference-not-found', errors: [{ pointer: '/programId' }] },
    })
    expect(await give(id, { consent: undefined })).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '/consent' }] },
    })
    const givenAt = new Date(Date.now() + 86_400_000).toISOString()
    expect(await give(id, { consent: { ...consent, givenAt } })).toMatchObject({
      status: 400,
      body: { errors: [{ pointer: '/consent/givenAt' }] },
    })
    expect(await takeBack(id)).toMatchObject({ status: 409, body: { detail: expect.stringContaining('never given') } })
    expect(
      (
        await service.call('firmA', `POST /v1/tests/${id}/programs/${nowhere}/withdrawal`, {
          body: { withdrawnAt: consent.givenAt },
        })
      ).status,
    ).toBe(404)
  })
})
