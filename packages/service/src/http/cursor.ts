/**
 * Pages of a list. A cursor says where the last page ended, and is sealed: a changed one, one of another list or
 * filter, or one older than a day is refused rather than answered with the wrong page.
 */
import { createHash, createHmac, timingSafeEqual } from 'node:crypto'
import type { FastifyReply, FastifyRequest } from 'fastify'
import { type TSchema, Type } from 'typebox'
import { Problem } from './problem.ts'

declare module 'fastify' {
  interface FastifyReply {
    /** How many items of a list are answered. */
    itemCount: number | undefined
  }
}

const LIFE_MS = 24 * 60 * 60 * 1000
const SEAL_BYTES = 8
const LIMIT_MAX = 200
const LIMIT_DEFAULT = 50

/** Query parameters of every list. */
export const PageQuery = {
  limit: Type.Integer({
    minimum: 1,
    maximum: LIMIT_MAX,
    default: LIMIT_DEFAULT,
    description: 'Items on a page.',
  }),
  cursor: Type.Optional(Type.String({ minLength: 1, maxLength: 1000, description: '`next` of the page before.' })),
}

/** Schema of a page of items. */
export const Page = <const S extends TSchema>(title: string, item: S) =>
  Type.Object(
    {
      items: Type.Array(item, { maxItems: LIMIT_MAX, description: 'Items, in the order of the list.' }),
      next: Type.Optional(
        Type.String({ maxLength: 1000, description: 'Cursor of the next page; absent on the last.' }),
      ),
    },
    { title, description: 'One page of a list.', additionalProperties: false },
  )

/** Where a page begins, and how many rows it asks for: one more than it shows, which says whether there is a next page. */
export interface Part<After = string> {
  /** The last item of the page before. */
  readonly after: After | undefined
  readonly limit: number
}

/** The sort values of an item, by which its list is continued. */
export interface Place<Row, After> {
  valuesOf(row: Row): readonly string[]
  from(values: readonly string[]): After
}

interface Asked {
  readonly request: PageRequest
  readonly reply: FastifyReply
  readonly list: ListOf
}

interface PageRequest extends Pick<FastifyRequest, 'url'> {
  readonly query: { readonly limit: number; readonly cursor?: string }
}

/** Which list a cursor belongs to: its order and the filter it was asked with. */
export interface ListOf {
  readonly order: string
  readonly filter?: Readonly<Record<string, string | number | undefined>>
}

const BY_ID: Place<{ readonly id: string }, string> = {
  valuesOf: ({ id }) => [id],
  from: ([id]) => id!,
}

export class Cursors {
  readonly #secret: Buffer
  readonly #now: () => Date

  /** `pepper` is the service's secret; cursors are sealed with a key derived from it. */
  constructor(pepper: string, now: () => Date) {
    this.#secret = createHmac('sha256', pepper).update('cursor').digest()
    this.#now = now
  }

  /** A cursor that continues after the item with these sort values. */
  write(list: ListOf, last: readonly string[]): string {
    const payload = JSON.stringify({ v: 1, list: listHash(list), at: this.#now().getTime(), last })
    return Buffer.concat([this.#seal(payload), Buffer.from(payload)]).toString('base64url')
  }

  /** Sort values of the item to continue after; undefined without a cursor. Throws `invalid-cursor`. */
  read(list: ListOf, cursor: string | undefined): readonly string[] | undefined {
    if (cursor === undefined) return undefined
    const bytes = Buffer.from(cursor, 'base64url')
    const payload = bytes.subarray(SEAL_BYTES).toString()
    if (bytes.length <= SEAL_BYTES || !timingSafeEqual(bytes.subarray(0, SEAL_BYTES), this.#seal(payload))) {
      throw new Problem('invalid-cursor', 'The cursor was altered or is not one of ours.')
    }
    const told = JSON.parse(payload) as { list: string; at: number; last: string[] }
    if (told.list !== listHash(list)) {
      throw new Problem('invalid-cursor', 'The cursor belongs to another list, or to this one with another filter.')
    }
    if (this.#now().getTime() - told.at > LIFE_MS)
      throw new Problem('invalid-cursor', 'The cursor is older than a day.')
    return told.last
  }

  /** Answers one page of a list in order of its ids. */
  page<Row extends { readonly id: string }, Item>(
    asked: Asked,
    read: (part: Part) => Promise<readonly Row[]>,
    toItem: (row: Row) => Item,
  ): Promise<{ items: Item[]; next?: string }> {
    return this.pageBy(BY_ID, asked, read, toItem)
  }

  /** Answers one page of a list in any order; `next` stands in the body and in a `Link` field (RFC 8288). */
  async pageBy<Row, After, Item>(
    place: Place<Row, After>,
    { request, reply, list }: Asked,
    read: (part: Part<After>) => Promise<readonly Row[]>,
    toItem: (row: Row) => Item,
  ): Promise<{ items: Item[]; next?: string }> {
    const { limit, cursor } = request.query
    const values = this.read(list, cursor)
    const rows = await read({ after: values && place.from(values), limit: limit + 1 })
    const items = rows.slice(0, limit).map(toItem)
    reply.itemCount = items.length
    if (rows.length <= limit) return { items }
    const next = this.write(list, place.valuesOf(rows[limit - 1]!))
    linkNext(request, reply, next)
    return { items, next }
  }

  #seal(payload: string): Buffer {
    return createHmac('sha256', this.#secret).update(payload).digest().subarray(0, SEAL_BYTES)
  }
}

function listHash({ order, filter = {} }: ListOf): string {
  const pairs = Object.entries(filter).filter(([, value]) => value !== undefined)
  const text = JSON.stringify([order, ...pairs.toSorted(([a], [b]) => (a < b ? -1 : 1))])
  return createHash('sha256').update(text).digest('base64url').slice(0, 12)
}

/** Adds `Link: <…>; rel="next"` (RFC 8288) beside the `next` of the body. */
function linkNext(request: Pick<FastifyRequest, 'url'>, reply: FastifyReply, next: string): void {
  const address = new URL(request.url, 'http://list')
  address.searchParams.set('cursor', next)
  reply.header('link', `<${address.pathname}${address.search}>; rel="next"`)
}
