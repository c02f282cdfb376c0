/** Reads hashes of a tree whose tiles lie elsewhere, in a database or at an address. */
import { HASH_BYTES, type ReadHash } from './merkle.ts'
import { type HashTile, readFromTiles, TILE_WIDTH } from './tiles.ts'

/** Loads tiles, in their order: of each its hashes one after the other. */
export type LoadTiles = (tiles: readonly HashTile[]) => Promise<readonly Uint8Array[]>

const BLANK = new Uint8Array(TILE_WIDTH * HASH_BYTES)

/** For any number of proofs in the tree of one size; each tile is loaded once. */
export class TileReader {
  readonly #size: number
  readonly #load: LoadTiles
  readonly #tiles = new Map<string, Uint8Array>()

  constructor(size: number, load: LoadTiles) {
    this.#size = size
    this.#load = load
  }

  /**
   * What `compute` makes of hashes. It is called twice: which hashes it asks for must not depend on what they are, so
   * the first time, on blank ones, tells which tiles are needed. Throws what `load` throws, and `tile-malformed`.
   */
  async read<T>(compute: (read: ReadHash) => T): Promise<T> {
    const missing = new Map<string, HashTile>()
    const read = readFromTiles(this.#size, (level, index) => {
      const name = `${level}/${index}`
      const tile = this.#tiles.get(name)
      if (tile === undefined) missing.set(name, this.#tile(level, index))
      return tile ?? BLANK
    })
    const first = compute(read)
    if (missing.size === 0) return first
    const loaded = await this.#load([...missing.values()])
    for (const [place, name] of [...missing.keys()].entries()) this.#tiles.set(name, loaded[place]!)
    return compute(read)
  }

  /** The tile as wide as it is in a tree of this size. */
  #tile(level: number, index: number): HashTile {
    const there = Math.floor(this.#size / TILE_WIDTH ** level) - index * TILE_WIDTH
    return { level, index, width: Math.min(TILE_WIDTH, there) }
  }
}
