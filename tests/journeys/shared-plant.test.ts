/** Two firms test one plant, one before and one after its repair, each through the client, against a service that listens. */
import {
  ConflictError,
  InvalidRequestError,
  Liftledger,
  LiftledgerError,
  NotFoundError,
  UnprocessableError,
} from '@liftledger/sdk'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../setup/service.ts'
import { afterRepair, beforeRepair, instruments, repairedPlant, testers } from '../setup/visits.ts'

let service: TestService
let admin: Liftledger
/** Tested before the repair. */
let first: Liftledger
/** Tested after it. */
let second: Liftledger
let plantId = ''
let [before, after] = ['', '']

const consent = { givenAt: '2026-05-04T09:30:00-07:00', by: 'grower', evidence: 'CONS-31' } as const

beforeAll(async () => {
  service = await startTestService()
  const baseUrl = await service.listen()
  const client = (apiKey: string) => new Liftledger({ baseUrl, apiKey, retries: 0 })
  admin = client(service.keys.admin)
  first = client(service.keys.firmA)
  second = client(service.keys.firmB)
  for (const firm of [first, second]) {
    for (const tester of testers) await firm.testers.create(tester)
    for (const instrument of instruments) await firm.instruments.create(instrument as never)
  }
})
afterAll(() => service.close())

const itemsOf = async (firm: Liftledger) => {
  const items = []
  for await (const item of firm.plants.history(plantId)) items.push(item)
  return items
}

/** Each step stands on the one before. */
describe('a plant that two firms test', () => {
  test('is registered and tested by the first', async () => {
    plantId = (await first.plants.create(repairedPlant as never)).id
    before = (await first.tests.submit(beforeRepair as never)).id
    expect((await itemsOf(first)).map(({ testId }) => testId)).toEqual([before])
  })

  test('is found by the second, which may not yet test it, and learns nothing of it but how to ask', async () => {
    await expect(second.plants.create(repairedPlant as never)).rejects.toThrow(ConflictError)
    await expect(second.tests.submit(afterRepair as never)).rejects.toThrow(UnprocessableError)
    const found = await second.plants.lookUp({ code: repairedPlant.code })
    expect(found).toEqual({ outcome: 'exists', plants: [], ask: expect.any(String) })
    await expect(second.plants.history(plantId)).rejects.toThrow(NotFoundError)
  })

  test('is opened to the second by an administrator, with the grower’s consent', async () => {
    const request = await second.accessRequests.create({ plantCode: repairedPlant.code, consent })
    const [open] = (await admin.accessRequests.list({ state: 'open' })).items
    expect(open).toEqual(request)
    await admin.accessRequests.decide(request.id, { outcome: 'granted' })
    const found = await second.plants.lookUp({ code: repairedPlant.code })
    expect(found.plants.map(({ id }) => id)).toEqual([plantId])
    after = (await second.tests.submit(afterRepair as never)).id
  })

  test('has two histories: without consent neither firm sees a trace of the other', async () => {
    expect((await itemsOf(first)).map(({ testId }) => testId)).toEqual([before])
    expect((await itemsOf(second)).map(({ testId }) => testId)).toEqual([after])
    for (const [firm, foreign] of [
      [first, after],
      [second, before],
    ] as const) {
      await expect(firm.tests.get(foreign)).rejects.toThrow(NotFoundError)
      await expect(firm.tests.trace(foreign, 'lift')).rejects.toThrow(NotFoundError)
      const list = await firm.tests.list()
      expect(list.items.map(({ id }) => id)).not.toContain(foreign)
      expect(JSON.stringify(await firm.plants.changes(plantId))).not.toContain(foreign)
    }
  })

  test('has one history for the second once the grower lets the first share; the repair shows', async () => {
    await first.plants.shareHistory(plantId, { firmId: service.firmB, consent })
    const items = await itemsOf(second)
    expect(items.map(({ source, testedOn }) => [source, testedOn])).toEqual([
      ['shared', beforeRepair.testedOn],
      ['own', afterRepair.testedOn],
    ])
    const [worn, repaired] = items
    const own = await first.tests.get(before)
    const efficiency = own.results.find(({ quantity, run }) => quantity === 'overall-plant-efficiency' && run === 0)!
    expect(worn!.overallPlantEfficiency).toBe(efficiency.value)
    // The interval before lies wholly below the interval after: the repair is resolved.
    expect(worn!.overallPlantEfficiencyHigh!).toBeLessThan(repaired!.overallPlantEfficiencyLow!)
    expect(worn).not.toHaveProperty('testId')
    expect(JSON.stringify(items)).not.toContain(service.firmA)
    // It works one way, and opens the figures alone.
    expect((await itemsOf(first)).map(({ testId }) => testId)).toEqual([before])
    await expect(second.tests.get(before)).rejects.toThrow(NotFoundError)
    await expect(second.notes.list(before)).rejects.toThrow(NotFoundError)
  })

  test('has one history for both once the second shares too, the same figures from both sides', async () => {
    await second.plants.shareHistory(plantId, { firmId: service.firmA, consent })
    const figures = (items: Awaited<ReturnType<typeof itemsOf>>) =>
      items.map(({ testedOn, edition, soundness, overallPlantEfficiency, specificCapacityM2S, liftM }) => ({
        testedOn,
        edition,
        soundness,
        overallPlantEfficiency,
        specificCapacityM2S,
        liftM,
      }))
    expect(figures(await itemsOf(first))).toEqual(figures(await itemsOf(second)))
    expect(await itemsOf(first)).toHaveLength(2)
  })

  test('has two again once the consent is withdrawn', async () => {
    const withdrawnAt = '2026-06-01T08:00:00-07:00'
    await first.plants.closeHistory(plantId, service.firmB, { withdrawnAt })
    expect((await itemsOf(second)).map(({ testId }) => testId)).toEqual([after])
    expect(await itemsOf(first)).toHaveLength(2)
    await second.plants.closeHistory(plantId, service.firmA, { withdrawnAt })
    expect((await itemsOf(first)).map(({ testId }) => testId)).toEqual([before])
    const turns = (await first.plants.listHistoryConsents(plantId)).items.map(({ consent: said }) => said)
    expect(turns).toEqual(['given', 'withdrawn'])
  })
})

describe('the registry and notes, through the client', () => {
  test('change under the ETag that was read, or not at all', async () => {
    const { data, etag } = await first.plants.get(plantId).withResponse()
    const changed = await first.plants.update(plantId, { reference: 'well by the road' }, { ifMatch: etag! })
    expect(changed).toEqual({ ...data, reference: 'well by the road' })
    const stale = first.plants.update(plantId, { reference: 'another' }, { ifMatch: etag! })
    await expect(stale).rejects.toThrow(LiftledgerError)
    await expect(stale).rejects.toMatchObject({ code: 'precondition-failed', status: 412 })
    expect(await first.plants.get(plantId)).toEqual(changed)
    const changes = (await first.plants.changes(plantId)).items
    expect(changes.at(-1)).toMatchObject({ deed: 'changed', changes: [{ from: 'road well', to: 'well by the road' }] })
  })

  test('keep a note apart from the test, and erase it', async () => {
    const test = await first.tests.get(before)
    const note = await first.notes.create(before, { kind: 'remark', text: 'The owner wants the key back.' })
    const erased = await first.notes.erase(before, note.id)
    expect(erased).toMatchObject({ id: note.id, sha256: note.sha256, erasedAt: expect.any(String) })
    expect((await first.notes.list(before)).items).toEqual([erased])
    expect(await first.tests.get(before)).toEqual(test)
    await expect(first.notes.create(before, { kind: 'contact', role: 'grower' })).rejects.toThrow(InvalidRequestError)
  })
})
