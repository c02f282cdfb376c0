/** Lists of tests: their order, pages and filters, and that the database walks an index for them. */
import type { Transaction } from 'kysely'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { recorded } from '../../../../tests/plans/explain.ts'
import { startTestService, type TestService } from '../../../../tests/setup/service.ts'
import { registerContext, sheetWith, visitContext } from '../../../../tests/setup/visit.ts'
import type { Database } from '../db/schema.ts'
import { onConnection, type RegisteredFirm, registerFirm } from '../db/testing.ts'
import { listStoredTests } from './queries.ts'
import type { TestSummary } from './schemas.ts'
import { submissionOf } from './testing.ts'
import { write } from './write.ts'

interface TestPage {
  readonly items: TestSummary[]
  readonly next?: string
}

let service: TestService
beforeAll(async () => {
  service = await startTestService()
})
afterAll(() => service.close())

const list = async (query = '') => {
  const answer = await service.call<TestPage>('firmA', `GET /v1/tests${query}`)
  expect(answer.status, JSON.stringify(answer.body)).toBe(200)
  return answer
}
const idsOf = ({ items }: TestPage): string[] => items.map(({ id }) => id)

describe('a list of tests', () => {
  /** Ids by the order in which they must be listed. */
  let newestFirst: string[]
  const days = ['2026-03-02', '2026-05-12', '2026-03-01', '2026-05-12', '2026-04-30', '2026-05-12', '2026-01-15']

  beforeAll(async () => {
    await registerContext(service, 'firmA')
    await registerContext(service, 'firmB', { ...visitContext, plant: { ...visitContext.plant, code: 'AM-02' } })
    const second = await service.call('firmA', 'POST /v1/plants', { body: { code: 'AM-03', kind: 'well' } })
    expect(second.status).toBe(201)
    const submitted: { id: string; day: string }[] = []
    for (const day of days) submitted.push({ day, id: await submit('firmA', { '/testedOn': day }) })
    await submit('firmB', { '/plant': 'AM-02' })
    newestFirst = submitted.toSorted((a, b) => (b.day + b.id < a.day + a.id ? -1 : 1)).map(({ id }) => id)
  })

  async function submit(caller: 'firmA' | 'firmB', changes: Record<string, unknown>): Promise<string> {
    const answer = await service.call<{ id: string }>(caller, 'POST /v1/tests', { body: sheetWith(changes) })
    expect(answer.status).toBe(201)
    return answer.body.id
  }

  test('has the newest visit first, of one day the one that came last', async () => {
    const { body } = await list()
    expect(idsOf(body)).toEqual(newestFirst)
    expect(body.next).toBeUndefined()
  })

  test.each([1, 2, 3, 7])('in pages of %i is complete, and each test stands in it once', async (limit) => {
    const seen: string[] = []
    let address: string | undefined = `/v1/tests?limit=${limit}`
    while (address !== undefined) {
      const { body, headers } = await list(address.slice('/v1/tests'.length))
      expect(body.items.length).toBeLessThanOrEqual(limit)
      seen.push(...idsOf(body))
      address = /^<(.*)>; rel="next"$/.exec(String(headers.link))?.[1]
      // The cursor in the body leads to the same page.
      if (address === undefined) expect(body.next).toBeUndefined()
      else expect(new URL(address, 'http://list').searchParams.get('cursor')).toBe(body.next)
    }
    expect(seen).toEqual(newestFirst)
  })

  test('is filtered by plant and by the days of the visit, first and last included', async () => {
    expect(idsOf((await list('?plant=AM-01')).body)).toEqual(newestFirst)
    expect(idsOf((await list('?plant=AM-03')).body)).toEqual([])
    // Another firm's plant is as one that is not there.
    expect(idsOf((await list('?plant=AM-02')).body)).toEqual([])
    const spring = (await list('?testedFrom=2026-03-01&testedTo=2026-04-30')).body.items
    expect(spring.map(({ testedOn }) => testedOn)).toEqual(['2026-04-30', '2026-03-02', '2026-03-01'])
  })

  test('is continued under the same filter only, with the cursor as it was given, within a day', async () => {
    const { next } = (await list('?limit=2&testedFrom=2026-03-01')).body
    const continued = (await list(`?limit=3&testedFrom=2026-03-01&cursor=${next}`)).body
    expect(idsOf(continued)).toEqual(newestFirst.slice(2, 5))
    for (const query of [
      `?cursor=${next}`,
      `?testedFrom=2026-03-02&cursor=${next}`,
      `?testedFrom=2026-03-01&cursor=${next!.replace(/.$/, (last) => (last === 'A' ? 'B' : 'A'))}`,
      `?testedFrom=2026-03-01&cursor=${next!.replace(/^./, (first) => (first === 'A' ? 'B' : 'A'))}`,
    ]) {
      const answer = await service.call('firmA', `GET /v1/tests${query}`)
      expect(answer, query).toMatchObject({ status: 400, body: { code: 'invalid-cursor' } })
    }
    // A cursor says where to go on, not what may be seen.
    const other = await service.call<TestPage>('firmB', `GET /v1/tests?testedFrom=2026-03-01&cursor=${next}`)
    expect(idsOf(other.body).filter((id) => newestFirst.includes(id))).toEqual([])
  })

  test.each([
    ['?limit=0', 'limit'],
    ['?limit=201', 'limit'],
    ['?testedFrom=yesterday', 'testedFrom'],
    ['?testedTo=2026-02-30', 'testedTo'],
    ['?testedFrom=0000-01-01', 'testedFrom'],
    ['?plant=a%00b', 'plant'],
    ['?plnat=AM-01', 'plnat'],
  ])('asked for with %s is refused by the name of the parameter', async (query, parameter) => {
    const answer = await service.call('firmA', `GET /v1/tests${query}`)
    expect(answer).toMatchObject({ status: 400, body: { code: 'invalid-request', errors: [{ parameter }] } })
  })
})

describe('among thousands of tests', () => {
  let firm: RegisteredFirm
  const PER_FIRM = 1_500

  beforeAll(async () => {
    const { databases } = service.deps
    firm = await registerFirm(databases)
    for (const one of [firm, await registerFirm(databases)]) {
      for (let n = 0; n < PER_FIRM; n += 500) {
        const day = (m: number) => new Date(Date.UTC(2020, 0, 1 + n + m)).toISOString().slice(0, 10)
        const batch = Array.from({ length: 500 }, (_, m) => {
          const context = Buffer.from(JSON.stringify({ plant: one.plantId, n: n + m }))
          return submissionOf(one, { testedOn: day(m), context })
        })
        await write(databases.writer, batch)
      }
    }
    await onConnection(service.databaseUrl, undefined, (client) => client.query('vacuum analyze'))
  })

  interface Plan {
    readonly 'Node Type': string
    readonly 'Relation Name'?: string
    readonly 'Index Name'?: string
    readonly Plans?: readonly Plan[]
  }

  /** The plan of the very query that a function asks, as the role of firms, for one firm. */
  async function planOf(ask: (tx: Transaction<Database>) => Promise<unknown>): Promise<Plan[]> {
    const asked = await recorded(ask)
    expect(asked).toHaveLength(1)
    return onConnection(service.databaseUrl, 'll_firm', async (client) => {
      await client.query('begin')
      await client.query("select set_config('app.firm', $1, true)", [firm.firmId])
      const { rows } = await client.query<{ 'QUERY PLAN': [{ Plan: Plan }] }>(
        `explain (format json) ${asked[0]!.sql}`,
        [...asked[0]!.parameters],
      )
      return flat(rows[0]!['QUERY PLAN'][0].Plan)
    })
  }
  const flat = (plan: Plan): Plan[] => [plan, ...(plan.Plans ?? []).flatMap(flat)]
  const scansOf = (plans: Plan[]) =>
    Object.fromEntries(
      plans.flatMap((plan) =>
        plan['Relation Name'] ? [[plan['Relation Name'], plan['Index Name'] ?? plan['Node Type']]] : [],
      ),
    )

  test('a page of one firm is read straight from its index, without sorting', async () => {
    const after = { testedOn: '2022-01-01', id: firm.plantId }
    for (const plans of [
      await planOf((tx) => listStoredTests(tx, {}, undefined, 50)),
      await planOf((tx) => listStoredTests(tx, {}, after, 50)),
      await planOf((tx) => listStoredTests(tx, { testedFrom: '2021-01-01', testedTo: '2023-01-01' }, after, 50)),
    ]) {
      expect(scansOf(plans)).toMatchObject({ field_test: 'field_test_newest' })
      expect(plans.map((plan) => plan['Node Type'])).not.toContain('Sort')
    }
  })
})
