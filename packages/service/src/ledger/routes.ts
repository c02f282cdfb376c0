/**
 * `/v1/ledger`: checkpoint, tiles, keys and proofs for everybody; entries for who may read the tests.
 *
 * What is made of hashes alone is public: they are salted or blinded, so that they tell nothing of what was hashed, and a
 * witness that needs an account is none. Entries name firms and tests, so that they would tell who tests how much.
 */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { encodeEntries, parseTilePath, TILE_WIDTH, type Tile, toHex } from '@liftledger/ledger'
import { Type } from 'typebox'
import type { Deps } from '../deps.ts'
import { Cursors, Page, PageQuery, type Place } from '../http/cursor.ts'
import { toWire, uuidOf } from '../http/ids.ts'
import { notFound, Problem } from '../http/problem.ts'
import { recordedKeys } from './key-record.ts'
import { entryBytesOf, listEntries } from './queries.ts'
import { Count, LedgerEntry, LedgerKeys } from './schemas.ts'
import { checkpointOf, hasTile, loadTile, newestCheckpoint } from './stored-tree.ts'

const OPEN = {
  access: 'public',
  problems: ['not-found', 'conflict', 'database-unavailable', 'timeout'],
} as const
const SEES_ALL = {
  access: { roles: ['auditor', 'keeper'], scope: 'tests:read' },
  problems: ['conflict'],
  readLog: { of: 'list' },
} as const

type EntryRow = Awaited<ReturnType<typeof listEntries>>[number]

const BY_INDEX: Place<EntryRow, number> = {
  valuesOf: ({ index }) => [String(index)],
  from: ([index]) => Number(index),
}

function toEntry({ index, leaf_hash, kind, subject, firm_id, entry }: EntryRow): LedgerEntry {
  const about = subject === null ? undefined : toWire('test', subject)
  return {
    index,
    leafHash: toHex(leaf_hash),
    kind,
    ...(about !== undefined && { test: about }),
    ...(firm_id !== null && { firm: toWire('firm', firm_id) }),
    entry: entry.toString('utf8'),
    links: {
      inclusion: `/v1/ledger/proofs/inclusion?index=${index}`,
      ...(about !== undefined && { test: `/v1/tests/${about}`, bundle: `/v1/ledger/bundle/${about}` }),
    },
  }
}

const YEAR_S = 31_536_000
/** A tile that is not full never changes either, but nobody asks for it once there is more. */
const lifeOf = ({ width }: Tile): string => (width === TILE_WIDTH ? `max-age=${YEAR_S}, immutable` : 'max-age=60')

const Wildcard = (description: string) => Type.Object({ '*': Type.String({ maxLength: 100, description }) })
const Bytes = (description: string) => ({
  description,
  content: {
    'application/octet-stream': {
      schema: Type.Unsafe<Buffer>({ type: 'string', format: 'binary', maxLength: 2 ** 24, description }),
    },
  },
})

/** The tile that a path names, if the tree has it. Throws `not-found`. */
function tileIn(size: number, path: string, name: string): Tile {
  const tile = parseTilePath(path)
  const level = tile?.level === 'entries' ? 0 : tile?.level
  if (tile === undefined || level === undefined || !hasTile(size, { ...tile, level })) throw notFound('tile', name)
  return tile
}

export const ledgerRoutes: FastifyPluginAsyncTypebox<Deps> = async (app, { databases, config, now }) => {
  const pool = databases.ledgerReads
  const cursors = new Cursors(config.keyPepper, now)
  const checkpoint = async () => {
    const newest = await newestCheckpoint(pool)
    if (newest === undefined) throw new Problem('not-found', 'Nothing was signed yet; ask again in a second.')
    return newest
  }
  const earlierCheckpoint = async (size: number) => {
    const earlier = await checkpointOf(pool, size)
    if (earlier === undefined) throw notFound('checkpoint', String(size))
    return earlier
  }

  app.get(
    '/v1/ledger/checkpoint',
    {
      config: OPEN,
      schema: {
        operationId: 'ledger.checkpoint',
        tags: ['Ledger'],
        summary: 'Read the newest signed checkpoint',
        description:
          'Name of the log, number of its entries and root of the tree over them, as a signed note (C2SP ' +
          'tlog-checkpoint). It covers an entry within a second after it was stored. Keep it: from the next one on, the ' +
          'consistency proof shows that nothing was changed or taken out in between.',
        querystring: Type.Object(
          { size: Type.Optional(Count('Entries in a checkpoint that was signed before; the newest if absent.')) },
          { additionalProperties: false },
        ),
        response: {
          200: {
            description: 'The checkpoint.',
            content: {
              'text/plain': {
                schema: Type.String({ maxLength: 20_000, description: 'Three lines, an empty line, signatures.' }),
              },
            },
          },
        },
      },
    },
    async ({ query: { size } }, reply) => {
      const { note } = size === undefined ? await checkpoint() : await earlierCheckpoint(size)
      return reply.type('text/plain; charset=utf-8').header('cache-control', 'public, max-age=1').send(note)
    },
  )

  app.get(
    '/v1/ledger/tile/*',
    {
      config: { ...OPEN, wildcard: 'tile' },
      // Hashes don't compress.
      compress: false,
      schema: {
        operationId: 'ledger.tile',
        tags: ['Ledger'],
        summary: 'Read a tile of the tree',
        description:
          'Hashes of one level, 32 bytes each, one after the other (C2SP tlog-tiles, height 8). A tile of 256 hashes ' +
          'never changes; `.p/` and a number ask for so many hashes of one that is not full.',
        params: Wildcard(
          'Level and index, as in `0/x001/234` or, for 17 hashes of a tile that is not full, `0/x001/234.p/17`. Its ' +
            'slashes may stand as they are.',
        ),
        response: { 200: Bytes('The hashes.') },
      },
    },
    async (request, reply) => {
      const name = request.params['*']
      const tile = tileIn((await checkpoint()).size, `tile/${name}`, name)
      if (tile.level === 'entries') throw notFound('tile', name)
      const hashes = await loadTile(pool, { ...tile, level: tile.level })
      return reply
        .type('application/octet-stream')
        .header('cache-control', `public, ${lifeOf(tile)}`)
        .send(hashes)
    },
  )

  app.get(
    '/v1/ledger/tile/entries/*',
    {
      config: { ...SEES_ALL, wildcard: 'bundle' },
      schema: {
        operationId: 'ledger.entryBundle',
        tags: ['Ledger'],
        summary: 'Read the entries beneath a tile',
        description:
          'The entries whose leaves a tile of level 0 holds, each behind its length in two bytes, the greater one first ' +
          '(C2SP tlog-tiles). They name firms and tests; hence not for everybody, as tiles are.',
        params: Wildcard('Index, as in `x001/234`, or `x001/234.p/17` for 17 entries of a bundle that is not full.'),
        response: { 200: Bytes('The entries.') },
      },
    },
    async (request, reply) => {
      const name = request.params['*']
      const tile = tileIn((await checkpoint()).size, `tile/entries/${name}`, name)
      const first = tile.index * TILE_WIDTH
      const entries = await databases.asPrincipal(request.principal, (tx) =>
        entryBytesOf(tx, first, first + tile.width),
      )
      if (entries.length !== tile.width) {
        throw new Problem(
          'conflict',
          `${tile.width - entries.length} of these entries are gone: the ledger was changed.`,
        )
      }
      reply.itemCount = entries.length
      const bytes = Buffer.from(encodeEntries(entries))
      return reply
        .type('application/octet-stream')
        .header('cache-control', `private, ${lifeOf(tile)}`)
        .send(bytes)
    },
  )

  app.get(
    '/v1/ledger/keys',
    {
      config: OPEN,
      schema: {
        operationId: 'ledger.keys',
        tags: ['Ledger'],
        summary: 'Read the keys that checkpoints are held against',
        description:
          'As the ledger’s own entries say. Take a copy once, from somebody you trust, and verify with that: whoever ' +
          'could change the ledger could change this answer too.',
        response: { 200: LedgerKeys },
      },
    },
    async () => {
      const keys = await recordedKeys(pool)
      const items = keys.map(({ text, index, since }, place) => {
        const until = keys[place + 1]?.since
        return { key: text, index, since, ...(until !== undefined && { until }) }
      })
      if (keys[0] === undefined) throw new Problem('not-found', 'No key was put in force.')
      return { origin: keys[0].key.name, items }
    },
  )

  app.get(
    '/v1/ledger/entries',
    {
      config: {
        access: { roles: ['firm', 'program', 'auditor', 'keeper'], scope: 'tests:read' },
        readLog: { of: 'list' },
        problems: ['conflict'],
      },
      schema: {
        operationId: 'ledger.entries',
        tags: ['Ledger'],
        summary: 'List entries in their order',
        description:
          'What happened, to which test of which firm, with the hashes of what it rests on; never a reading. A firm sees ' +
          'the entries of its own tests, a program those of the tests it was given, others all. An entry ' +
          'may be younger than the newest checkpoint, which then follows within a second.',
        querystring: Type.Object(
          {
            ...PageQuery,
            from: Type.Optional(Count('Index to begin with; 0 if absent.')),
            test: Type.Optional(
              Type.String({
                maxLength: 60,
                description:
                  'Id of a test: only what is about it, and of versions that took its place, that they did and whether ' +
                  'they were withdrawn.',
              }),
            ),
          },
          { additionalProperties: false },
        ),
        response: { 200: Page('LedgerEntryPage', LedgerEntry) },
      },
    },
    async (request, reply) => {
      const { from = 0, test } = request.query
      const testId = test === undefined ? undefined : uuidOf('test', test)
      return cursors.pageBy(
        BY_INDEX,
        { request, reply, list: { order: 'ledger entries', filter: { from, test } } },
        ({ after = from - 1, limit }) =>
          databases.asPrincipal(request.principal, (tx) => listEntries(tx, { from: after + 1, testId, limit })),
        toEntry,
      )
    },
  )
}
