/** Statistics through the routes: who sees what, at once and after the fold alike, and what was left out. */
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { type Caller, startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, sheetWith } from '../../../../tests/setup/visit.ts'
import { foldStep, rebuild } from './fold.ts'
import type { Statistics, StatisticsTrend } from './schemas.ts'

let service: TestService
beforeAll(async () => {
  service = await startTestService()
  await registerContext(service, 'firmA')
})
afterAll(() => service.close())

interface Stored {
  readonly id: string
}
const consent = { givenAt: '2026-05-12T09:30:00-07:00', by: 'grower', evidence: 'CONS-1' }
const stored: Stored[] = []

/** The visit on another day. */
async function submit(day = '2026-05-12', changes: Readonly<Record<string, unknown>> = {}): Promise<Stored> {
  const sheet = JSON.stringify(sheetWith(changes)).replaceAll('2026-05-12', day)
  const { status, body } = await service.call<Stored>('firmA', 'POST /v1/tests', { body: sheet })
  expect(status).toBe(201)
  stored.push(body)
  return body
}
const give = async (id: string): Promise<void> => {
  const body = { programId: service.program, consent }
  expect((await service.call('firmA', `POST /v1/tests/${id}/programs`, { body })).status).toBe(201)
}
async function read(caller: Caller, query = ''): Promise<Statistics> {
  const { status, body } = await service.call<Statistics>(caller, `GET /v1/statistics${query}`)
  expect(status).toBe(200)
  return body
}
const counts = async (caller: Caller, query = ''): Promise<number[]> =>
  (await read(caller, query)).items.map(({ tests }) => tests)

/** Answers before the fold, after it, and after a rebuild: all the same. */
async function settled(caller: Caller, query = ''): Promise<Statistics> {
  const tail = await read(caller, query)
  await foldStep(service.deps.databases.statistics, { rowsMax: 100_000 })
  expect(await read(caller, query)).toEqual(tail)
  await rebuild(service.deps.databases.statistics)
  expect(await read(caller, query)).toEqual(tail)
  return tail
}

describe('a test that was submitted', () => {
  test('is in the figures of its firm and the auditor at once, with its own value', async () => {
    const one = await submit()
    const { body } = await service.call<{
      results: { quantity: string; value: number; expandedUncertainty: number }[]
    }>('firmA', `GET /v1/tests/${one.id}/results`)
    const own = body.results.find(({ quantity }) => quantity === 'overall-plant-efficiency')!
    for (const caller of ['firmA', 'auditor'] as const) {
      const { items } = await settled(caller)
      expect(items).toHaveLength(1)
      expect(items[0]).toMatchObject({ tests: 1, plants: 1, editions: ['2026-1'] })
      expect(items[0]!.mean!.value).toBeCloseTo(own.value, 6)
      expect(items[0]!.commonUncertaintyAtMost).toBeCloseTo(own.expandedUncertainty, 6)
      expect(Math.abs(items[0]!.percentiles[2]!.value / own.value - 1)).toBeLessThanOrEqual(0.005)
    }
    expect(await counts('firmB')).toEqual([])
    expect(await counts('program')).toEqual([])
  })

  test('gives its place to a later one of the same year, and is told as left out', async () => {
    await submit('2026-05-13')
    const { items } = await settled('auditor', '?groupBy=driver,year')
    expect(items).toHaveLength(1)
    expect(items[0]).toMatchObject({ tests: 1, leftOut: { anotherInTheYear: 1, superseded: 0 } })
    const { body } = await service.call<{ items: { counts: boolean; leftOutBecause?: string }[] }>(
      'auditor',
      `GET ${items[0]!.links.tests}`,
    )
    expect(body.items.map((one) => [one.counts, one.leftOutBecause])).toEqual([
      [false, 'another-in-the-year'],
      [true, undefined],
    ])
  })

  test('leaves them when it is withdrawn or revised, and the other counts again', async () => {
    const last = stored.at(-1)!
    const route = `POST /v1/tests/${last.id}/withdrawal` as const
    const { status } = await service.call('firmA', route, { body: { reason: 'sent-twice' } })
    expect(status).toBe(201)
    expect((await settled('auditor')).items[0]).toMatchObject({
      tests: 1,
      leftOut: { withdrawn: 1, anotherInTheYear: 0 },
    })
    const revise = `POST /v1/tests/${stored[0]!.id}/revisions?reason=misread` as const
    const { body } = await service.call<Stored>('firmA', revise, { body: sheetWith({}) })
    stored.push(body)
    expect((await settled('firmA')).items[0]).toMatchObject({ tests: 1, leftOut: { withdrawn: 1, superseded: 1 } })
  })
})

describe('a program', () => {
  test('has what it was given, from the consent to its withdrawal', async () => {
    const { id } = stored.at(-1)!
    await give(id)
    expect((await settled('program')).items.map(({ tests }) => tests)).toEqual([1])
    const takeBack = `POST /v1/tests/${id}/programs/${service.program}/withdrawal` as const
    const body = { withdrawnAt: '2026-05-13T10:00:00-07:00' }
    expect((await service.call('firmA', takeBack, { body })).status).toBe(201)
    expect((await settled('program')).items).toEqual([])
    await give(id)
    expect((await settled('program')).items.map(({ tests }) => tests)).toEqual([1])
  })

  test('counts a test that was held up once it has decided', async () => {
    const held = await submit('2025-05-12', { '/runs/0/dischargePressure/reading/value': -3 })
    await give(held.id)
    const year = '?yearFrom=2025&yearTo=2025'
    const before = await settled('program', year)
    expect(before.items[0]?.leftOut).toMatchObject({ inQuestion: 1 })
    const { body } = await service.call<{ items: { id: string; severity: string; run?: number; place: string }[] }>(
      'firmA',
      `GET /v1/tests/${held.id}/findings`,
    )
    const holds = (body.items ?? (body as unknown as { findings: typeof body.items }).findings).filter(
      ({ severity }) => severity === 'hold',
    )
    expect(holds.length).toBeGreaterThan(0)
    for (const { id, run, place } of holds) {
      const decision = {
        finding: id,
        place,
        ...(run !== undefined && { run }),
        outcome: 'does-not-stand',
        reader: 'R-1',
        reason: 'Read again, and it shows the same as before.',
      }
      expect((await service.call('program', `POST /v1/tests/${held.id}/decisions`, { body: decision })).status).toBe(
        201,
      )
    }
    expect((await settled('program', year)).items[0]).toMatchObject({ leftOut: { inQuestion: 0 } })
    // What one program decided is its own.
    expect((await settled('auditor', year)).items[0]).toMatchObject({ leftOut: { inQuestion: 1 } })
  })
})

test('trend, tables and charts tell the same figures', async () => {
  await submit('2025-05-14')
  const trend = (await service.call<StatisticsTrend>('auditor', 'GET /v1/statistics/trends')).body.items[0]!
  expect(trend.allTested.map(({ year, tests }) => [year, tests])).toEqual([
    [2025, 1],
    [2026, 1],
  ])
  expect(trend.panel).toMatchObject([{ year: 2026, plants: 1 }])
  const { body, headers } = await service.call<string>('auditor', 'GET /v1/statistics?groupBy=driver,year', {
    headers: { accept: 'text/csv' },
  })
  expect(headers['content-type']).toContain('text/csv')
  expect(body.split('\r\n')[0]).toContain('leftOutInQuestion')
  for (const chart of ['histogram', 'percentile-bands', 'panel-trend']) {
    const drawn = await service.call<string>('auditor', `GET /v1/statistics/charts/${chart}?width=360&theme=dark`)
    expect(drawn.status).toBe(200)
    expect(drawn.body).toMatch(/^<svg .*tests.*<\/svg>$/s)
    expect(drawn.body).not.toMatch(/NaN|undefined|Infinity/)
  }
})

test('groups for which no cells are kept are added up from tests, with the same outcome', async () => {
  const byCells = await read('auditor', '?groupBy=region')
  const byTests = await read('auditor', `?groupBy=region&firmId=${service.firmA}`)
  expect([byCells.asOf.madeFrom, byTests.asOf.madeFrom]).toEqual(['cells', 'tests'])
  const without = ({ items }: Statistics) => items.map(({ links: _, ...figures }) => figures)
  expect(without(byTests)).toEqual(without(byCells))
})

test('nobody else sees them, and is told where public ones are', async () => {
  const { status, body } = await service.call('keeper', 'GET /v1/statistics')
  expect(status).toBe(403)
  expect(body.detail).toMatch(/Public statistics come monthly/)
  expect((await service.call('admin', 'GET /v1/statistics')).status).toBe(403)
  expect((await service.call('auditor', 'GET /v1/statistics?yearFrom=2027&yearTo=2026')).status).toBe(400)
})
