/** A tester's day, through the client as his firm's software would use it, against a service that listens. */
import { canonicalBytes, sha256 } from '@liftledger/ledger'
import {
  ConflictError,
  InvalidRequestError,
  Liftledger,
  NotFoundError,
  TooLargeError,
  UnauthenticatedError,
  UnprocessableError,
} from '@liftledger/sdk'
import { precheck, ShapeError, trace } from '@liftledger/sdk/precheck'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../setup/service.ts'
import { sheetWith, visitContext, visitSheet } from '../setup/visit.ts'

let service: TestService
let client: Liftledger
beforeAll(async () => {
  service = await startTestService()
  client = new Liftledger({ baseUrl: await service.listen(), apiKey: service.keys.firmA, retries: 0 })
})
afterAll(() => service.close())

const hashOf = (value: unknown): string => Buffer.from(sha256(canonicalBytes(value))).toString('hex')
const visit = {
  plant: visitSheet.plant,
  tester: visitSheet.tester,
  instruments: visitContext.instruments.map(({ code }) => code).join(','),
  testedOn: visitSheet.testedOn,
}

/** Each step stands on the one before, as the day goes. */
describe('a tester', () => {
  test('registers the plant, himself and his instruments', async () => {
    const { equipment, ...plant } = visitContext.plant
    const { revision: _, ...facts } = equipment!
    const made = await client.plants.create({ ...plant, reference: 'north well', equipment: facts })
    expect(await client.plants.get(made.id)).toEqual(made)
    await client.testers.create(visitContext.tester)
    for (const instrument of visitContext.instruments) {
      await client.instruments.create({ ...instrument, effectiveFrom: '2025-01-01' })
    }
    const codes: string[] = []
    for await (const { code } of client.instruments.list({ limit: 2 })) codes.push(code)
    expect(codes.toSorted()).toEqual(visitContext.instruments.map(({ code }) => code))
    await expect(client.plants.create(plant)).rejects.toThrow(ConflictError)
  })

  test('takes the context along, and checks the sheet at the well without signal', async () => {
    const context = await client.context.get(visit)
    expect(context).toEqual(visitContext)
    const offline = precheck(visitSheet, context)
    const online = await client.evaluations.create(visitSheet, { trace: 'lift' })
    expect(online.evaluation).toEqual(offline)
    expect(online.evaluationSha256).toBe(hashOf(offline))
    expect(online.contextSha256).toBe(hashOf(context))
    expect(online.trace).toEqual(trace(visitSheet, context, { quantity: 'lift' }))
  })

  test('mends on the spot what a pre-check finds wrong, which the service would find as well', async () => {
    const context = await client.context.get(visit)
    const misread = sheetWith({ '/runs/0/dischargePressure/reading/unit': 'PSI', '/runs/0/power/timing': [] })
    const offline = catching(() => precheck(misread, context), ShapeError)
    const online = await client.tests.submit(misread).then(
      () => expect.fail('was taken'),
      (error: unknown) => error,
    )
    expect(online).toBeInstanceOf(InvalidRequestError)
    const { errors, pointers, code, status } = online as InvalidRequestError
    expect([status, code]).toEqual([400, 'invalid-request'])
    expect(pointers.toSorted()).toEqual(['/runs/0/dischargePressure/reading/unit', '/runs/0/power/timing'])
    const places = (items: typeof errors) => items.map((item) => `${item.pointer} ${item.code}`).toSorted()
    expect(places(offline.errors)).toEqual(places(errors))
    expect((online as Error).message).toContain("Did you mean 'psi'?")
    // Levels exchanged are no fault of shape: both say so in a finding.
    const exchanged = sheetWith({
      '/standingLevel/reading/value': 141.7,
      '/standingLevel/repeats': undefined,
      '/runs/0/pumpingLevel/reading/value': 118.4,
      '/runs/0/pumpingLevel/series': undefined,
    })
    const found = precheck(exchanged, context).findings
    expect(found.map(({ id }) => id)).toContain('pumping-level-above-standing')
    expect((await client.evaluations.create(exchanged)).evaluation.findings).toEqual(found)
  })

  test('submits the sheet and has results, findings and trace in the same breath', async () => {
    const stored = await client.tests.submit(visitSheet)
    const context = await client.context.get(visit)
    expect(stored.evaluationSha256).toBe(hashOf(precheck(visitSheet, context)))
    expect(stored.contextSha256).toBe(hashOf(context))
    const efficiency = stored.results.find(({ quantity }) => quantity === 'overall-plant-efficiency')!
    expect(efficiency.shown.unit).toBe('%')
    expect(Math.abs(efficiency.shown.value - 67.343)).toBeLessThan(0.001)
    expect(efficiency.shown.expandedUncertainty).toBeGreaterThan(0)

    expect(await client.tests.get(stored.id)).toEqual(stored)
    expect((await client.tests.results(stored.id)).results).toEqual(stored.results)
    const { findings, advice, soundness } = await client.tests.findings(stored.id)
    expect({ findings, advice, soundness }).toEqual({
      findings: stored.findings,
      advice: stored.advice,
      soundness: 'sound',
    })
    const traced = await client.tests.trace(stored.id, 'overall-plant-efficiency')
    const { replay, readings: _, links: __, ...derivation } = traced
    expect(replay).toBe('identical')
    expect(derivation).toEqual(trace(visitSheet, context, { quantity: 'overall-plant-efficiency' }))
    expect(traced.value).toBe(efficiency.value)
  })

  test('sends again what a lost answer left unknown, and has one test', async () => {
    const idempotencyKey = 'ambermoor:2026-05-12.1'
    const first = await client.tests.submit(visitSheet, { idempotencyKey }).withResponse()
    const again = await client.tests.submit(visitSheet, { idempotencyKey }).withResponse()
    expect(again.data).toEqual(first.data)
    expect(Buffer.from(again.bytes)).toEqual(Buffer.from(first.bytes))
    expect([first.replayed, again.replayed]).toEqual([false, true])
    expect(first.response.headers.get('location')).toBe(`/v1/tests/${first.data.id}`)
    await expect(client.tests.submit(sheetWith({ '/plant': 'AM-02' }), { idempotencyKey })).rejects.toMatchObject({
      code: 'idempotency-key-reused',
      idempotencyKey,
    })
  })

  test('sends bytes as they are, and gets their hash', async () => {
    const text = JSON.stringify(visitSheet).replace('41.5', '41.50')
    const stored = await client.tests.submit(new TextEncoder().encode(text))
    expect(stored.rawSha256).toBe(Buffer.from(sha256(new TextEncoder().encode(text))).toString('hex'))
  })

  test('goes through all tests of the firm, page by page', async () => {
    const seen: string[] = []
    for await (const { id, plant, soundness } of client.tests.list({ limit: 1, plant: 'AM-01' })) {
      expect([plant, soundness]).toEqual(['AM-01', 'sound'])
      seen.push(id)
    }
    const page = await client.tests.list({ limit: 200 })
    expect(page.next).toBeUndefined()
    expect(seen).toEqual(page.items.map(({ id }) => id))
    expect(new Set(seen).size).toBe(3)
  })
})

describe('an error', () => {
  test('has the class of its status, and says what to mend', async () => {
    await expect(client.tests.submit(sheetWith({ '/plant': 'AM-99' }))).rejects.toSatisfy(
      (error) => error instanceof UnprocessableError && error.pointers[0] === '/plant',
    )
    await expect(client.tests.get('tst_00000000000000000000000000')).rejects.toThrow(NotFoundError)
    await expect(client.tests.submit(' '.repeat(5_000_000))).rejects.toThrow(TooLargeError)
    const stranger = new Liftledger({ baseUrl: service.app.listeningOrigin, retries: 0 })
    await expect(stranger.tests.list()).rejects.toThrow(UnauthenticatedError)
  })

  test('of one firm’s test, for another, is that it is not there', async () => {
    const other = new Liftledger({ baseUrl: service.app.listeningOrigin, apiKey: service.keys.firmB, retries: 0 })
    const { items } = await client.tests.list({ limit: 1 })
    await expect(other.tests.get(items[0]!.id)).rejects.toThrow(NotFoundError)
    expect((await other.tests.list()).items).toEqual([])
  })
})

function catching<E extends Error>(act: () => unknown, kind: abstract new (...given: never[]) => E): E {
  try {
    act()
  } catch (error) {
    if (error instanceof kind) return error
    throw error
  }
  throw new Error(`Nothing was thrown where ${kind.name} was expected.`)
}
