/** Pages of lists that are worked out whole and told in their own order, the most urgent first. */
import type { FastifyReply, FastifyRequest } from 'fastify'
import type { Cursors, Place } from '../http/cursor.ts'

/** What a list is sorted by: numbers rising, and where they are equal a text. */
export interface Placed {
  readonly place: readonly [number, string]
}

type Key = Placed['place']

const BY_PLACE: Place<Placed, Key> = {
  valuesOf: ({ place: [number, text] }) => [String(number), text],
  from: ([number, text]) => [Number(number), text!],
}

const isBefore = ([a, x]: Key, [b, y]: Key): boolean => a < b || (a === b && x < y)

interface Asked {
  readonly request: Pick<FastifyRequest, 'url'> & {
    readonly query: { readonly limit: number; readonly cursor?: string }
  }
  readonly reply: FastifyReply
  readonly order: string
  readonly filter: Readonly<Record<string, string | number | undefined>>
}

/** One page of the rows. What came or went since the page before moves no other row. */
export function pageOf<Row extends Placed, Item>(
  cursors: Cursors,
  { request, reply, order, filter }: Asked,
  rows: readonly Row[],
  toItem: (row: Row) => Item,
): Promise<{ items: Item[]; next?: string }> {
  const sorted = rows.toSorted((a, b) => (isBefore(a.place, b.place) ? -1 : 1))
  return cursors.pageBy(
    BY_PLACE as Place<Row, Key>,
    { request, reply, list: { order, filter } },
    async ({ after, limit }) => {
      const from = after === undefined ? 0 : sorted.findIndex(({ place }) => isBefore(after, place))
      return from < 0 ? [] : sorted.slice(from, from + limit)
    },
    toItem,
  )
}
