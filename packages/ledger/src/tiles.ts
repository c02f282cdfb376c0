/**
 * Tiles (C2SP tlog-tiles): the tree in files of at most 256 hashes, eight levels of it a tile, that never change.
 *
 * A tile of level L holds hashes of perfect subtrees of 256^L leaves; what lies between is hashed again by the reader.
 */
import { concat } from './bytes.ts'
import { VerificationError } from './errors.ts'
import { HASH_BYTES, nodeHash, type ReadHash } from './merkle.ts'

export const TILE_WIDTH = 256
const TILE_HEIGHT = 8
const LEVEL_MAX = 63
const ENTRY_LENGTH_MAX = 0xffff

export interface Tile {
  /** Level in tiles, or `entries` for the entries beneath level 0. */
  readonly level: number | 'entries'
  readonly index: number
  /** How many hashes or entries it holds, 1 to 256. */
  readonly width: number
}

/** A tile of hashes. */
export interface HashTile extends Tile {
  readonly level: number
}

/** Where a tile is served, `tile/0/x001/234.p/17`; full if no width is given. Throws `tile-malformed`. */
export function tilePath(level: number | 'entries', index: number, width: number = TILE_WIDTH): string {
  const known = level === 'entries' || (Number.isInteger(level) && level >= 0 && level <= LEVEL_MAX)
  const placed = Number.isSafeInteger(index) && index >= 0
  if (!known || !placed || !Number.isInteger(width) || width < 1 || width > TILE_WIDTH) {
    throw new VerificationError('tile-malformed', `There is no tile ${index} of level ${level} and width ${width}.`)
  }
  const digits = String(index)
  const groups = digits.padStart(Math.ceil(digits.length / 3) * 3, '0').match(/\d{3}/g)!
  const folders = groups.map((group, i) => (i < groups.length - 1 ? `x${group}` : group)).join('/')
  return `tile/${level}/${folders}${width === TILE_WIDTH ? '' : `.p/${width}`}`
}

const PATH = /^tile\/(entries|\d{1,2})\/((?:x\d{3}\/)*\d{3})(?:\.p\/(\d{1,3}))?$/

/** The tile that a path names; undefined if it names none, or is not how {@link tilePath} writes it. */
export function parseTilePath(path: string): Tile | undefined {
  const [, level = '', folders = '', width] = PATH.exec(path) ?? []
  const tile: Tile = {
    level: level === 'entries' ? level : Number(level),
    index: Number(folders.replaceAll(/[x/]/g, '')),
    width: width === undefined ? TILE_WIDTH : Number(width),
  }
  try {
    return tilePath(tile.level, tile.index, tile.width) === path ? tile : undefined
  } catch {
    return undefined
  }
}

/** All tiles of hashes that a tree of this size has, lowest level first, the partial one of a level last. */
export function tilesOf(size: number): HashTile[] {
  const tiles: HashTile[] = []
  for (let level = 0, count = size; count > 0; level++, count = Math.floor(count / TILE_WIDTH)) {
    for (let index = 0; index * TILE_WIDTH < count; index++) {
      tiles.push({ level, index, width: Math.min(TILE_WIDTH, count - index * TILE_WIDTH) })
    }
  }
  return tiles
}

/**
 * Reads hashes of a tree of `size` leaves out of its tiles. `loadTile` gives a tile’s hashes one after the other; it
 * may give a wider tile than the tree of that size has. Throws `tile-malformed` for what such a tree hasn’t.
 */
export function readFromTiles(size: number, loadTile: (level: number, index: number) => Uint8Array): ReadHash {
  return (level, index) => {
    const span = 2 ** level
    if ((index + 1) * span > size) {
      throw new VerificationError('tile-malformed', `A tree of ${size} has no node ${index} of height ${level}.`)
    }
    const tileLevel = Math.floor(level / TILE_HEIGHT)
    const count = 2 ** (level % TILE_HEIGHT)
    const first = index * count
    const tileIndex = Math.floor(first / TILE_WIDTH)
    const tile = loadTile(tileLevel, tileIndex)
    const at = (first % TILE_WIDTH) * HASH_BYTES
    if (
      tile.length % HASH_BYTES !== 0 ||
      tile.length > TILE_WIDTH * HASH_BYTES ||
      at + count * HASH_BYTES > tile.length
    ) {
      throw new VerificationError(
        'tile-malformed',
        `Tile ${tileIndex} of level ${tileLevel} has ${tile.length} bytes, which is not what a tree of ${size} asks for.`,
      )
    }
    return subtreeHash(tile.subarray(at, at + count * HASH_BYTES))
  }
}

/** Root over 2ⁿ hashes that stand one after the other. */
function subtreeHash(hashes: Uint8Array): Uint8Array {
  if (hashes.length === HASH_BYTES) return hashes.slice()
  const half = hashes.length / 2
  return nodeHash(subtreeHash(hashes.subarray(0, half)), subtreeHash(hashes.subarray(half)))
}

/** Entries one after the other, each behind its length in two bytes. Throws `entries-malformed` for one that is too long. */
export function encodeEntries(entries: readonly Uint8Array[]): Uint8Array {
  return concat(
    entries.flatMap((entry) => {
      if (entry.length > ENTRY_LENGTH_MAX) {
        throw new VerificationError('entries-malformed', `An entry of ${entry.length} bytes is too long for a bundle.`)
      }
      return [Uint8Array.of(entry.length >> 8, entry.length & 0xff), entry]
    }),
  )
}

/** The entries that {@link encodeEntries} put together. Throws `entries-malformed` if the last one is cut short. */
export function decodeEntries(bytes: Uint8Array): Uint8Array[] {
  const entries: Uint8Array[] = []
  for (let at = 0; at < bytes.length; ) {
    const length = bytes[at]! * 256 + (bytes[at + 1] ?? 0)
    const end = at + 2 + length
    if (end > bytes.length) {
      throw new VerificationError('entries-malformed', `Entry ${entries.length} of the bundle is cut short.`)
    }
    entries.push(bytes.slice(at + 2, end))
    at = end
  }
  return entries
}
