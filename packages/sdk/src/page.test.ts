import { describe, expect, expectTypeOf, test } from 'vitest'
import type { Call } from './call.ts'
import { UnauthenticatedError } from './errors.ts'
import { Page, type PagePromise } from './page.ts'
import { json, problem, requesterOn, serve } from './testing.ts'

interface Item {
  readonly id: string
}

const list: Call = { operation: 'tests.list', method: 'GET', path: '/v1/tests', query: { plant: 'P1', limit: 2 } }
const threePages = [
  json(200, { items: [{ id: 'a' }, { id: 'b' }], next: 'c1' }),
  json(200, { items: [], next: 'c2' }),
  json(200, { items: [{ id: 'c' }] }),
] as const

async function idsOf(items: AsyncIterable<Item>): Promise<string[]> {
  const ids: string[] = []
  for await (const item of items) ids.push(item.id)
  return ids
}

describe('a list', () => {
  test('iterates over the items of all pages with the same filter, also past an empty page', async () => {
    const service = await serve(...threePages)
    expect(await idsOf(requesterOn(service).list<Item>(list))).toEqual(['a', 'b', 'c'])
    expect(service.received.map((request) => request.url)).toEqual([
      '/v1/tests?plant=P1&limit=2',
      '/v1/tests?plant=P1&limit=2&cursor=c1',
      '/v1/tests?plant=P1&limit=2&cursor=c2',
    ])
  })

  test('keeps what a page tells of itself beside its items, page after page', async () => {
    interface Whole {
      readonly items: readonly Item[]
      readonly next?: string
      readonly falling: number
    }
    const service = await serve(
      json(200, { items: [{ id: 'a' }], next: 'c1', falling: 7 }),
      json(200, { items: [{ id: 'b' }], falling: 8 }),
    )
    const page = await requesterOn(service).list<Item, Whole>(list)
    expectTypeOf(page.whole.falling).toEqualTypeOf<number>()
    expect(page.whole).toEqual({ items: [{ id: 'a' }], next: 'c1', falling: 7 })
    expect((await page.nextPage())?.whole.falling).toBe(8)
  })

  test('awaited gives one page, and further pages on request', async () => {
    const service = await serve(...threePages)
    const page = await requesterOn(service).list<Item>(list)
    expect(page).toBeInstanceOf(Page)
    expect([page.items.length, page.next]).toEqual([2, 'c1'])
    expect(service.received).toHaveLength(1)
    const last = await (await page.nextPage())?.nextPage()
    expect(last?.items).toEqual([{ id: 'c' }])
    expect(await last?.nextPage()).toBeUndefined()
    expect(service.received).toHaveLength(3)
  })

  test('fetches no page that nobody asks for', async () => {
    const service = await serve(...threePages)
    for await (const item of requesterOn(service).list<Item>(list)) if (item.id === 'b') break
    expect(service.received).toHaveLength(1)
  })

  test('can be begun again from a cursor kept by the caller', async () => {
    const service = await serve(threePages[2])
    const items = requesterOn(service).list<Item>({ ...list, query: { cursor: 'c2' } })
    expect(await idsOf(items)).toEqual(['c'])
    expect(service.received[0]?.url).toBe('/v1/tests?cursor=c2')
  })

  test('stops with the error of the page that failed', async () => {
    const service = await serve(threePages[0], problem(401, 'unauthenticated'))
    const seen: string[] = []
    const walk = async () => {
      for await (const item of requesterOn(service).list<Item>(list)) seen.push(item.id)
    }
    await expect(walk()).rejects.toBeInstanceOf(UnauthenticatedError)
    expect(seen).toEqual(['a', 'b'])
  })

  test('refuses to walk in a circle', async () => {
    const service = await serve(json(200, { items: [{ id: 'a' }], next: 'c1' }))
    await expect(idsOf(requesterOn(service).list<Item>(list))).rejects.toThrow(/same cursor/)
    expect(service.received).toHaveLength(2)
  })

  test('has items of their own type, awaited or iterated', () => {
    expectTypeOf<Awaited<PagePromise<Item>>>().toEqualTypeOf<Page<Item>>()
    expectTypeOf<PagePromise<Item>>().toExtend<AsyncIterable<Item>>()
    expectTypeOf<PagePromise<Item>>().toExtend<Promise<Page<Item>>>()
  })
})
