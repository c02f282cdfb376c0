/** The trace through HTTP, held against the stored bytes and against evaluations of changed readings. */
import type { Context, Evaluation, Sheet, Trace, TraceNode } from '@liftledger/calc'
import { atPointer } from '@liftledger/calc/testing'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, sheetWith, visitSheet } from '../../../../tests/setup/visit.ts'
import { onConnection } from '../db/testing.ts'
import { fromWire } from '../http/ids.ts'

let service: TestService
let id: string
let trace: Trace
/** Sheet and context as they are stored. */
let sheet: Sheet
let context: Context

beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
  id = await submit(visitSheet)
  const answer = await service.call<Trace>('firmA', `GET /v1/tests/${id}/trace/overall-plant-efficiency`)
  expect(answer.status).toBe(200)
  trace = answer.body
  await onConnection(service.databaseUrl, undefined, async (client) => {
    const { rows } = await client.query<{ raw: Buffer; body: Buffer }>(
      'select raw, body from ll.field_test join ll.context_snapshot on sha256 = context_sha256 where id = $1',
      [fromWire('test', id)],
    )
    sheet = JSON.parse(rows[0]!.raw.toString()) as Sheet
    context = JSON.parse(rows[0]!.body.toString()) as Context
  })
})
afterAll(() => service.close())

async function submit(body: object): Promise<string> {
  const answer = await service.call<{ id: string }>('firmA', 'POST /v1/tests', { body })
  expect(answer.status).toBe(201)
  return answer.body.id
}

/** Efficiency of the sheet with one reading changed, as the service evaluates it. */
async function efficiencyWith(place: string, value: number): Promise<number> {
  const answer = await service.call<{ evaluation: Evaluation }>('firmA', 'POST /v1/evaluations', {
    body: sheetWith({ [`${place}/value`]: value }),
  })
  expect(answer.status).toBe(200)
  return answer.body.evaluation.results.find(({ quantity }) => quantity === trace.quantity)!.value
}

const leaves = (): (TraceNode & { reading: NonNullable<TraceNode['reading']> })[] =>
  trace.nodes.filter((node): node is ReturnType<typeof leaves>[number] => node.reading !== undefined)

describe('the trace of overall plant efficiency', () => {
  test('has expression, source, value and unit at every node, and hangs together', () => {
    expect(trace.nodes.length).toBeGreaterThan(60)
    for (const { node, expression, source, value, unit, inputs, reading } of trace.nodes) {
      for (const text of [expression, unit, source.document, source.place]) expect(text, `node ${node}`).not.toBe('')
      expect(Number.isFinite(value)).toBe(true)
      expect(inputs.length > 0, `node ${node}`).toBe(reading === undefined)
      for (const input of inputs) expect(trace.nodes[input.node]!.node).toBe(input.node)
    }
    const reached = new Set(trace.nodes.flatMap(({ inputs }) => inputs.map(({ node }) => node)))
    expect(reached.size).toBe(trace.nodes.length - 1)
    expect(trace.nodes[0]).toMatchObject({ id: 'overall-plant-efficiency', value: trace.value, sensitivity: 1 })
  })

  test('has leaves that lie in the sheet as stored, or in the edition', () => {
    const places = leaves().map(({ reading }) => reading.place)
    expect(new Set(places).size).toBe(places.length)
    for (const { id: kind, reading, source } of leaves()) {
      if (reading.place.startsWith('edition/')) {
        expect([kind, source.document]).toEqual(['default', `method edition ${trace.edition}`])
      } else {
        expect(atPointer(sheet, reading.place), reading.place).toMatchObject({
          value: reading.value,
          unit: reading.unit,
        })
      }
    }
  })

  test('has a budget whose parts lie in the sheet, an instrument of the context or the edition', () => {
    const codes = context.instruments.map(({ code }) => code)
    const origins = new Set<string>()
    for (const { place, source, nodes } of trace.components) {
      const [origin, name] = place.split('/') as [string, string]
      origins.add(origin)
      if (origin === 'instrument') expect(codes).toContain(name)
      else if (origin !== 'edition') expect(atPointer(sheet, place), place).toBeDefined()
      expect(source.document).not.toBe('')
      for (const node of nodes) expect(trace.nodes[node]).toBeDefined()
    }
    expect([...origins].toSorted()).toEqual(['', 'edition', 'instrument'])
  })

  test('has shares of variance that add up to one, and a variance that is theirs', () => {
    const shares = trace.components.map(({ shareOfVariance }) => shareOfVariance)
    expect(Math.abs(shares.reduce((sum, share) => sum + share, 0) - 1)).toBeLessThan(1e-9)
    const parts = trace.components.map((part) => part.sensitivity * part.standardUncertainty)
    expect(Math.hypot(...parts) / trace.standardUncertainty).toBeCloseTo(1, 9)
  })

  test('has for every reading the sensitivity that evaluations of the changed reading show', async () => {
    const readings = leaves().filter(({ id: kind }) => kind === 'reading')
    // Both levels, gauge, heights, temperature, pipe, tube, 20 points, meter, timings.
    expect(readings.length).toBeGreaterThan(35)
    for (const { reading } of readings) {
      const step = reading.value === 0 ? 1e-6 : Math.abs(reading.value) * 1e-6
      const [below, above] = [reading.value - step, reading.value + step]
      const change = (await efficiencyWith(reading.place, above)) - (await efficiencyWith(reading.place, below))
      const difference = change / (above - below)
      expect(Math.abs(reading.sensitivity / difference - 1), reading.place).toBeLessThan(1e-5)
    }
  })

  test('leaves out no number of the sheet that moves efficiency', async () => {
    const traced = leaves().map(({ reading }) => reading.place)
    const all = readingsIn(sheet)
    expect(all).toEqual(expect.arrayContaining(traced.filter((place) => place.startsWith('/'))))
    const untraced = all.filter((place) => !traced.includes(place))
    expect(untraced.length).toBeGreaterThan(5)
    for (const place of untraced) {
      const { value } = atPointer(sheet, place) as { value: number }
      expect(await efficiencyWith(place, value === 0 ? 1e-6 : value * (1 + 1e-6)), place).toBe(trace.value)
    }
  })
})

/** Pointers of everything in the sheet that has a value and a unit. */
function readingsIn(part: unknown, pointer = ''): string[] {
  if (part === null || typeof part !== 'object') return []
  const own = typeof (part as { value?: unknown }).value === 'number' ? [pointer] : []
  return [...own, ...Object.entries(part).flatMap(([name, member]) => readingsIn(member, `${pointer}/${name}`))]
}

describe('a trace', () => {
  const ask = <B = Record<string, unknown>>(test: string, rest: string) =>
    service.call<B>('firmA', `GET /v1/tests/${test}/trace/${rest}`)

  test('is the one that an evaluation of the same sheet gives', async () => {
    const { body } = await service.call<{ trace: Trace }>('firmA', `POST /v1/evaluations?trace=${trace.quantity}`, {
      body: sheet,
    })
    // What is stored nowhere has nothing to link to.
    const { readings: _, links: __, ...derivation } = trace as Trace & { readings: unknown; links: unknown }
    expect({ ...body.trace, replay: 'identical' }).toEqual(derivation)
  })

  test('is of the run asked for, or of the one that stands for the normal condition', async () => {
    const two = await submit({ ...visitSheet, runs: [{}, visitSheet.runs[0]], normalRun: 1 })
    expect((await ask<Trace>(two, 'lift')).body).toMatchObject({ quantity: 'lift', run: 1 })
    expect((await ask<Trace>(two, 'lift?run=1')).body.value).toBe((await ask<Trace>(id, 'lift')).body.value)
    expect(await ask(two, 'lift?run=0')).toMatchObject({ status: 404, body: { code: 'not-found' } })
  })

  test('of a run that is not there is not found, and it is told how many there are', async () => {
    expect(await ask(id, 'lift?run=1')).toMatchObject({
      status: 404,
      body: { detail: `Test '${id}' has no run 1; it has 1, counted from 0.` },
    })
    expect(await ask(id, 'lift?run=20')).toMatchObject({ status: 400, body: { errors: [{ parameter: 'run' }] } })
    expect(await ask(id, 'lift?rnu=0')).toMatchObject({ status: 400, body: { errors: [{ parameter: 'rnu' }] } })
  })

  test('of a quantity that the readings do not give is not found', async () => {
    const bare = await submit(sheetWith({ '/standingLevel': undefined }))
    expect(await ask(bare, 'drawdown')).toMatchObject({
      status: 404,
      body: { detail: `Run 0 of test '${bare}' has no readings for drawdown.` },
    })
  })

  test('of a quantity that is none is not found, and it is told which there are', async () => {
    expect(await ask(id, 'efficiency')).toMatchObject({
      status: 404,
      body: {
        detail: expect.stringMatching(/^There is no quantity 'efficiency'; there are .*overall-plant-efficiency/),
      },
    })
  })

  test('of a test that is none is not found, whatever its id', async () => {
    for (const absent of ['tst_00000000000000000000000000', 'x', 'x'.repeat(70)]) {
      expect(await ask(absent, 'lift')).toMatchObject({
        status: 404,
        body: { detail: `There is no test '${absent}' that this key may see.` },
      })
    }
  })
})
