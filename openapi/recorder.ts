/**
 * Plays requests against a service and keeps what was asked and answered, as examples for the API description.
 *
 * The clock moves one minute with every request and ids are counted, so that the same play gives the same bytes.
 * Keys are drawn by chance and open something: fixed texts that open nothing stand in their place.
 */
import { setTimeout as sleep } from 'node:timers/promises'
import type { FastifyInstance } from 'fastify'

export type Json = Record<string, unknown>

/** What was sent. The address is as the description writes it, with its values beside it. */
export interface RecordedRequest {
  readonly method: string
  readonly path: string
  readonly pathValues?: Readonly<Record<string, string>>
  readonly query?: Readonly<Record<string, string | number>>
  readonly headers?: Readonly<Record<string, string>>
  readonly body?: unknown
  /** Stands for a body too long to be shown. */
  readonly bodyBytes?: number
}

export interface RecordedAnswer {
  readonly status: number
  readonly headers: Readonly<Record<string, string>>
  readonly body?: unknown
}

export interface Recorded {
  readonly operationId: string
  readonly request: RecordedRequest
  readonly answer: RecordedAnswer
}

export interface Asked {
  /** Key to send; none if absent. */
  readonly key?: string
  readonly path?: Readonly<Record<string, string>>
  readonly query?: Readonly<Record<string, string | number>>
  readonly headers?: Readonly<Record<string, string>>
  /** Sent as JSON; a text is sent as it is. */
  readonly body?: unknown
  /** Keeps the first so many of each list in the answer, where they are long and alike. */
  readonly firstOf?: number
}

/** Header fields that tell a reader something about this one answer. */
const KEPT = [
  'allow',
  'content-type',
  'etag',
  'idempotent-replayed',
  'ledger-receipt',
  'link',
  'location',
  'retry-after',
] as const
const TEXT_LENGTH_MAX = 400
const DRAWN_ID = /^[0-9A-HJKMNP-TV-Z]{12}$/
const KEY = /llk_[a-z]+_([0-9A-HJKMNP-TV-Z]{12})_[0-9A-Za-z]{38}/g

export class Recorder {
  readonly #app: FastifyInstance
  readonly #document: Json
  readonly #tick: () => void
  readonly #records: Recorded[] = []
  readonly #keyIds: string[] = []
  #asked = 0

  /** `tick` moves the clock of the service. */
  constructor(app: FastifyInstance, document: Json, tick: () => void) {
    this.#app = app
    this.#document = document
    this.#tick = tick
  }

  /** Asks, and keeps what was answered. Throws if the answer has another status. */
  async play<B = Json>(operationId: string, status: number, asked: Asked = {}): Promise<RecordedAnswer & { body: B }> {
    const { method, path } = this.#operation(operationId)
    const url = `${path.replace(/\{(\w+)\}/g, (_, name: string) => encodeURIComponent(pathValue(asked, name)))}${search(asked)}`
    this.#tick()
    this.#asked += 1
    const isText = typeof asked.body === 'string'
    const response = await this.#app.inject({
      method: method as 'GET',
      url,
      headers: {
        'x-request-id': `example-${String(this.#asked).padStart(4, '0')}`,
        ...(asked.key !== undefined && { authorization: `Bearer ${asked.key}` }),
        ...(asked.body !== undefined && { 'content-type': 'application/json' }),
        ...asked.headers,
      },
      ...(asked.body !== undefined && { payload: isText ? (asked.body as string) : JSON.stringify(asked.body) }),
    })
    if (response.statusCode !== status) {
      throw new Error(`${operationId} answered ${response.statusCode} instead of ${status}: ${response.body}`)
    }
    const { key, path: pathValues, body: sentBody, query } = asked
    const type = String(response.headers['content-type'])
    const isJson = /\bjson\b/.test(type)
    // Bytes that are no text stand in base 64.
    const text = type.startsWith('application/octet-stream') ? response.rawPayload.toString('base64') : response.body
    const answer = {
      status,
      headers: Object.fromEntries(
        KEPT.filter((name) => response.headers[name] !== undefined).map((name) => [
          name,
          String(response.headers[name]),
        ]),
      ),
      ...(response.body !== '' && { body: isJson ? firstOf(asked.firstOf, response.json() as unknown) : text }),
    }
    this.#meetId((answer.body as { id?: unknown } | undefined)?.id)
    const headers = { ...(key !== undefined && { authorization: `Bearer ${key}` }), ...asked.headers }
    const request = {
      method,
      path,
      ...(pathValues !== undefined && { pathValues }),
      ...(query !== undefined && { query }),
      ...(isText && (asked.body as string).length > TEXT_LENGTH_MAX
        ? { bodyBytes: Buffer.byteLength(asked.body as string) }
        : sentBody !== undefined && { body: sentBody }),
      ...(Object.keys(headers).length > 0 && { headers }),
    }
    this.#records.push({ operationId, request, answer })
    return answer as RecordedAnswer & { body: B }
  }

  /** Asks until the answer is so, and keeps nothing: for work that goes on by itself. The clock stands still. */
  async until(operationId: string, { key, ...asked }: Asked, isSo: (body: Json) => boolean): Promise<void> {
    const { method, path } = this.#operation(operationId)
    const url = path.replace(/\{(\w+)\}/g, (_, name: string) => encodeURIComponent(pathValue(asked, name)))
    for (let tries = 0; tries < 400; tries++) {
      const headers = key === undefined ? {} : { authorization: `Bearer ${key}` }
      const response = await this.#app.inject({ method: method as 'GET', url, headers })
      if (response.statusCode === 200 && isSo(response.json())) return
      await sleep(25)
    }
    throw new Error(`${operationId} never answered what was waited for.`)
  }

  /** Tells of a key that was made otherwise, so that it is replaced too. */
  meet(key: string): void {
    const [, id] = [...key.matchAll(KEY)][0] ?? []
    if (id === undefined) throw new Error('That is no API key.')
    this.#meetId(id)
  }

  /** Ids of keys and of token principals are drawn too. */
  #meetId(id: unknown): void {
    if (typeof id === 'string' && DRAWN_ID.test(id) && !this.#keyIds.includes(id)) this.#keyIds.push(id)
  }

  /** Everything played so far, in order, without a key that opens anything. */
  records(): Recorded[] {
    let text = JSON.stringify(this.#records.map((record) => this.#withoutDrawnTag(record)))
    text = text.replaceAll(KEY, (_, id: string) => `llk_demo_${id}_${'0'.repeat(38)}`)
    this.#keyIds.forEach((id, n) => {
      text = text.replaceAll(id, `EXAMPKEY${String(n + 1).padStart(4, '0')}`)
    })
    return (JSON.parse(text) as Recorded[]).map(inOrderOfKeyIds)
  }

  /** The tag of an answer that holds something drawn is another one each time. */
  #withoutDrawnTag(record: Recorded): Recorded {
    const { answer } = record
    const text = JSON.stringify(answer.body ?? '')
    if (!this.#keyIds.some((id) => text.includes(id))) return record
    const { etag: _, ...headers } = answer.headers
    return { ...record, answer: { ...answer, headers } }
  }

  #operation(operationId: string): { method: string; path: string } {
    for (const [path, methods] of Object.entries(this.#document.paths as Record<string, Record<string, Json>>)) {
      for (const [method, operation] of Object.entries(methods)) {
        if (operation.operationId === operationId) return { method: method.toUpperCase(), path }
      }
    }
    throw new Error(`There is no operation ${operationId}.`)
  }
}

/** Keys are listed by id, so their new ids put them in another order. */
function inOrderOfKeyIds(record: Recorded): Recorded {
  if (record.operationId !== 'keys.list' || record.answer.status !== 200) return record
  const body = record.answer.body as { items: { id: string }[] }
  const items = body.items.toSorted((a, b) => (a.id < b.id ? -1 : 1))
  return { ...record, answer: { ...record.answer, body: { ...body, items } } }
}

function firstOf(count: number | undefined, value: unknown): unknown {
  if (count === undefined || typeof value !== 'object' || value === null) return value
  if (Array.isArray(value)) return value.slice(0, count).map((item) => firstOf(count, item))
  return Object.fromEntries(Object.entries(value).map(([name, member]) => [name, firstOf(count, member)]))
}

function pathValue({ path }: Asked, name: string): string {
  const value = path?.[name]
  if (value === undefined) throw new Error(`The path needs a ${name}.`)
  return value
}

function search({ query }: Asked): string {
  if (query === undefined) return ''
  return `?${new URLSearchParams(Object.entries(query).map(([name, value]) => [name, String(value)]))}`
}
