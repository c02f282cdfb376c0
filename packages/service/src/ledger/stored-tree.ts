/**
 * Reads the stored tree: checkpoints, tiles, and the hashes that proofs are made of. All of it is hashes, so that all
 * of it may be seen by everybody.
 *
 * Full tiles are stored. Those that are not full yet are read from where their hashes come from: the leaves from the
 * entries, higher ones from the roots of the tiles below.
 */
import { HASH_BYTES, type HashTile, parseCheckpoint, parseNote, TILE_WIDTH, TileReader } from '@liftledger/ledger'
import type pg from 'pg'
import { Problem } from '../http/problem.ts'
import type { ReadLevel } from './tiles.ts'

type From = pg.Pool | pg.PoolClient

export interface StoredCheckpoint {
  readonly size: number
  readonly root: Uint8Array
  readonly note: string
  readonly signedAt: Date
}

/** The newest checkpoint; undefined as long as nothing was signed. */
export async function newestCheckpoint(from: From): Promise<StoredCheckpoint | undefined> {
  const { rows } = await from.query<CheckpointRow>(
    'select note, signed_at as "signedAt" from ll.ledger_checkpoint order by size desc limit 1',
  )
  return toCheckpoint(rows[0])
}

/** The checkpoint that was signed over the first `size` entries; undefined where none was. */
export async function checkpointOf(from: From, size: number): Promise<StoredCheckpoint | undefined> {
  const { rows } = await from.query<CheckpointRow>(
    'select note, signed_at as "signedAt" from ll.ledger_checkpoint where size = $1',
    [size],
  )
  return toCheckpoint(rows[0])
}

type CheckpointRow = Pick<StoredCheckpoint, 'note' | 'signedAt'>

/** Size and root are those that were signed, rather than those that stand beside them. */
function toCheckpoint(row: CheckpointRow | undefined): StoredCheckpoint | undefined {
  if (row === undefined) return undefined
  const { size, root } = parseCheckpoint(parseNote(row.note).body)
  return { ...row, size, root }
}

/** How far the tree reaches, and how many entries there are. */
export async function treeAndHead(from: From): Promise<{ readonly size: number; readonly next: number }> {
  const { rows } = await from.query<{ size: number; next: number }>(
    'select (select size from ll.ledger_tree) as size, (select next from ll.ledger_head) as next',
  )
  return rows[0]!
}

const LEVEL_0 = `select string_agg(leaf_hash::bytea, ''::bytea order by index) as hashes
  from ll.ledger_entry where index >= $1 and index < $2`
const HIGHER = `select string_agg(root::bytea, ''::bytea order by index) as hashes
  from ll.ledger_tile where level = $3 and index >= $1 and index < $2`

/** The hashes of a level of tiles, one after the other; fewer than asked for where some aren't there. */
async function hashesOf(from: From, level: number, first: number, end: number): Promise<Buffer> {
  const { rows } = await (level === 0
    ? from.query<{ hashes: Buffer | null }>({ name: 'level_0', text: LEVEL_0, values: [first, end] })
    : from.query<{ hashes: Buffer | null }>({ name: 'level_n', text: HIGHER, values: [first, end, level - 1] }))
  return rows[0]!.hashes ?? Buffer.alloc(0)
}

export const readLevel =
  (from: From): ReadLevel =>
  async (level, first, end) => {
    const hashes = await hashesOf(from, level, first, end)
    return Array.from(
      { length: Math.floor(hashes.length / HASH_BYTES) },
      (_, i) => new Uint8Array(hashes.subarray(i * HASH_BYTES, (i + 1) * HASH_BYTES)),
    )
  }

/** Whether a tree of this size has a tile of at least this width. */
export function hasTile(size: number, { level, index, width }: HashTile): boolean {
  return index * TILE_WIDTH + width <= Math.floor(size / TILE_WIDTH ** level)
}

/** The hashes of a tile that the tree has. Throws `conflict` where they are gone. */
export async function loadTile(from: From, { level, index, width }: HashTile): Promise<Buffer> {
  const hashes = width === TILE_WIDTH ? await fullTile(from, level, index) : undefined
  const first = index * TILE_WIDTH
  const bytes = hashes ?? (await hashesOf(from, level, first, first + width))
  if (bytes.length === width * HASH_BYTES) return bytes
  throw new Problem('conflict', `Hashes of tile ${index} of level ${level} are gone: the ledger was changed.`)
}

async function fullTile(from: From, level: number, index: number): Promise<Buffer | undefined> {
  const { rows } = await from.query<{ hashes: Buffer }>({
    name: 'full_tile',
    text: 'select hashes from ll.ledger_tile where level = $1 and index = $2',
    values: [level, index],
  })
  return rows[0]?.hashes
}

const TILES_AT_ONCE = 256

/** Indexes of full tiles by level. */
function fullOnes(tiles: readonly HashTile[]): Map<number, number[]> {
  const byLevel = new Map<number, number[]>()
  for (const { level, index, width } of tiles) {
    if (width !== TILE_WIDTH) continue
    const indexes = byLevel.get(level) ?? []
    indexes.push(index)
    byLevel.set(level, indexes)
  }
  return byLevel
}

/** Reads hashes of the tree of one size, for any number of proofs. Throws `conflict` where some are gone. */
export const treeReader = (from: From, size: number): TileReader =>
  new TileReader(size, (tiles) => loadTiles(from, tiles))

/** Full tiles of a level many at a time; the few others, and full ones that are gone, one by one. */
async function loadTiles(from: From, tiles: readonly HashTile[]): Promise<Uint8Array[]> {
  const loaded = new Map<string, Uint8Array>()
  for (const [level, indexes] of fullOnes(tiles)) {
    for (let at = 0; at < indexes.length; at += TILES_AT_ONCE) {
      const { rows } = await from.query<{ index: number; hashes: Buffer }>({
        name: 'full_tiles',
        text: 'select index, hashes from ll.ledger_tile where level = $1 and index = any ($2)',
        values: [level, indexes.slice(at, at + TILES_AT_ONCE)],
      })
      for (const { index, hashes } of rows) loaded.set(`${level}/${index}`, hashes)
    }
  }
  const hashes: Uint8Array[] = []
  for (const tile of tiles) hashes.push(loaded.get(`${tile.level}/${tile.index}`) ?? (await loadTile(from, tile)))
  return hashes
}
