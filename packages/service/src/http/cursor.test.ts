import type { FastifyReply } from 'fastify'
import { describe, expect, test } from 'vitest'
import { Cursors } from './cursor.ts'

const list = { order: 'tests by day', filter: { plant: 'AMB-001' } }
let time = Date.UTC(2026, 4, 4)
const cursors = new Cursors('a pepper for these tests', () => new Date(time))

describe('a cursor', () => {
  test('leads back to where the page ended', () => {
    expect(cursors.read(list, cursors.write(list, ['2026-05-04', 'id']))).toEqual(['2026-05-04', 'id'])
    expect(cursors.read(list, undefined)).toBeUndefined()
  })

  test('with any bit changed is refused', () => {
    const bytes = Buffer.from(cursors.write(list, ['id']), 'base64url')
    for (let bit = 0; bit < bytes.length * 8; bit++) {
      const changed = Buffer.from(bytes)
      changed[bit >> 3]! ^= 1 << (bit & 7)
      expect(() => cursors.read(list, changed.toString('base64url'))).toThrow(
        expect.objectContaining({ code: 'invalid-cursor' }),
      )
    }
  })

  test.each([
    ['another filter', { ...list, filter: { plant: 'AMB-002' } }],
    ['no filter', { order: list.order }],
    ['another order', { ...list, order: 'plants' }],
  ])('is refused with %s', (_, other) => {
    expect(() => cursors.read(other, cursors.write(list, ['id']))).toThrow(
      expect.objectContaining({ code: 'invalid-cursor' }),
    )
  })

  test.each(['', 'x', 'AAAAAAAAAAA', '💧'])('%j is refused', (text) => {
    expect(() => cursors.read(list, text)).toThrow(expect.objectContaining({ code: 'invalid-cursor' }))
  })

  test('lives a day', () => {
    const cursor = cursors.write(list, ['id'])
    time += 24 * 3600 * 1000
    expect(cursors.read(list, cursor)).toEqual(['id'])
    time += 1
    expect(() => cursors.read(list, cursor)).toThrow(expect.objectContaining({ code: 'invalid-cursor' }))
  })

  test('of another service with another pepper is refused', () => {
    const other = new Cursors('another pepper', () => new Date(time))
    expect(() => other.read(list, cursors.write(list, ['id']))).toThrow()
  })
})

describe('a page', () => {
  const byValue = { valuesOf: (value: number) => [String(value)], from: ([value]: readonly string[]) => Number(value) }

  /** The page of a list that has these rows, and its Link field. */
  async function pageOf(rows: readonly number[], limit: number, cursor?: string) {
    const links: string[] = []
    const reply = { header: (_name: string, value: string) => links.push(value) } as unknown as FastifyReply
    const request = { url: '/v1/things?kind=well', query: { limit, ...(cursor !== undefined && { cursor }) } }
    const page = await cursors.pageBy(
      byValue,
      { request, reply, list },
      async ({ after = 0, limit: most }) => rows.filter((row) => row > after).slice(0, most),
      (row) => `item ${row}`,
    )
    return { ...page, links }
  }

  test('has a next one only if there are more rows than it shows, named in the body and in the field', async () => {
    const first = await pageOf([1, 2, 3], 2)
    expect(first.items).toEqual(['item 1', 'item 2'])
    expect(first.links).toEqual([`</v1/things?kind=well&cursor=${first.next}>; rel="next"`])
    expect(await pageOf([1, 2, 3], 2, first.next)).toEqual({ items: ['item 3'], links: [] })
    expect(await pageOf([1, 2], 2)).toEqual({ items: ['item 1', 'item 2'], links: [] })
    expect(await pageOf([], 2)).toEqual({ items: [], links: [] })
  })
})
