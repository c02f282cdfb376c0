/**
 * What a client may keep, and how it asks whether that still holds: `Cache-Control`, `ETag`, `If-None-Match`,
 * `Vary`, and gzip.
 *
 * A strong tag names the bytes of one encoding (RFC 9110, 8.8.3): the gzipped form of `"x"` is `"x-gz"`.
 */
import { hash } from 'node:crypto'
import compress from '@fastify/compress'
import type { FastifyInstance, FastifyReply, FastifyRequest, onSendHookHandler } from 'fastify'

declare module 'fastify' {
  interface FastifyContextConfig {
    /**
     * Of an address whose answer can never change, since all it is made from is kept for ever and named by the
     * address. Not for what a later decision or revision may change. A consent that ends is no change of the answer
     * but of who may have it: only the firm, whose own it is, is told to keep it.
     */
    immutable?: boolean
  }
}

const COMPRESS_BYTES_MIN = 1024
const YEAR_S = 31_536_000

/** Must come before any route, and after what sets other fields of answers. */
export async function registerCaching(app: FastifyInstance): Promise<void> {
  app.addHook('onSend', freshness)
  app.addHook('onRoute', (route) => {
    const { method, schema, onSend = [] } = route
    if ((method === 'GET' || method === 'HEAD') && !isList(schema?.querystring)) route.onSend = [tag, onSend].flat()
  })
  await app.register(compress, {
    encodings: ['gzip'],
    threshold: COMPRESS_BYTES_MIN,
    globalDecompression: false,
  })
  app.addHook('onRoute', (route) => {
    // By now HEAD has dropped its body, so that it tells of the plain form.
    route.onSend = [route.onSend ?? [], route.method === 'HEAD' ? noLengthOfNothing : tagOfEncoding].flat()
  })
}

/** First 16 bytes of SHA-256, base64url, as a strong entity tag. */
export function entityTag(representation: string | Uint8Array): string {
  return `"${hash('sha256', representation, 'buffer').subarray(0, 16).toString('base64url')}"`
}

/** Tags of bytes that are sent more than once and never changed. */
const keptTags = new WeakMap<Uint8Array, string>()

/** Makes the tag of bytes that will be sent more than once, for good: they must not be changed after. */
export function keepTag(representation: Uint8Array): void {
  keptTags.set(representation, entityTag(representation))
}

/** Text of a 200 answer, by the operation's own serialiser. */
export function jsonOf(reply: FastifyReply, body: object): string {
  return String(reply.serializeInput(body as { [member: string]: unknown }, '200'))
}

/** Answers with what is JSON already, as `jsonOf` makes it. */
export function sendJson(reply: FastifyReply, json: string | Buffer): FastifyReply {
  return reply.type('application/json; charset=utf-8').send(json)
}

/** An address whose answer can never change has one that can, while a stored test does not replay. */
export function changesIfDiffering(reply: FastifyReply, { replay }: { readonly replay: string }): void {
  if (replay === 'differs') reply.header('cache-control', 'private, no-cache')
}

/** The tag of the same representation in gzip. */
export const gzipTag = (entity: string): string => `${entity.slice(0, -1)}-gz"`

/**
 * The tag of a field like `If-Match` or `If-None-Match` that names this representation, in either encoding;
 * undefined if none does. `*` names whatever there is.
 */
export function namedTag(field: string | undefined, entity: string): string | undefined {
  if (field === undefined) return undefined
  if (field.trim() === '*') return entity
  const given = field.match(/"[\x21\x23-\x7e]*"/g) ?? []
  return given.find((one) => one === entity || one === gzipTag(entity))
}

/** A page of a list is one of many representations and soon another; nobody asks for it again. */
export function isList(query: unknown): boolean {
  return 'cursor' in ((query as { properties?: object } | undefined)?.properties ?? {})
}

const freshness: onSendHookHandler = (request, reply, payload, done) => {
  const mine = request.principal !== undefined
  // What a key may see is nobody else's to keep.
  reply.header('vary', mine ? 'accept, accept-encoding, authorization' : 'accept-encoding')
  if (!reply.hasHeader('cache-control')) {
    const forGood = request.routeOptions.config?.immutable === true && reply.statusCode === 200 && keeps(request)
    const life = forGood ? `max-age=${YEAR_S}, immutable` : 'no-cache'
    reply.header('cache-control', mine ? `private, ${life}` : life)
  }
  done(null, payload)
}

/** What is public, and a firm's own, stays with whom has it; what others may read ends with consents and offices. */
const keeps = ({ principal }: FastifyRequest): boolean => principal === undefined || principal.role === 'firm'

/** Before compression: tags the answer, and spares it where the caller has it already. */
const tag: onSendHookHandler = async (request, reply, payload) => {
  if (reply.statusCode !== 200 || (typeof payload !== 'string' && !Buffer.isBuffer(payload))) return payload
  const entity = (typeof payload === 'string' ? undefined : keptTags.get(payload)) ?? entityTag(payload)
  const known = namedTag(ifNoneMatch(request), entity)
  reply.header('etag', known ?? entity)
  if (known === undefined) return payload
  reply.code(304).removeHeader('content-type')
  // What makes HEAD of GET takes anything but null.
  return request.method === 'HEAD' ? '' : null
}

const ifNoneMatch = ({ headers }: FastifyRequest): string | undefined => headers['if-none-match']

const noLengthOfNothing: onSendHookHandler = (_request, reply, payload, done) => {
  if (reply.statusCode === 304) reply.removeHeader('content-length')
  done(null, payload)
}

/** After compression: the tag of what is really sent. */
const tagOfEncoding: onSendHookHandler = (_request, reply, payload, done) => {
  const entity = reply.getHeader('etag')
  if (typeof entity === 'string' && reply.getHeader('content-encoding') === 'gzip') {
    reply.header('etag', gzipTag(entity))
  }
  done(null, payload)
}
