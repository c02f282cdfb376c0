/** Which tiles become full when the tree grows, and what they hold. */
import { equalBytes, extend, rootOf, TILE_WIDTH, type TreeRange } from '@liftledger/ledger'

export interface FullTile {
  readonly level: number
  readonly index: number
  /** 256 hashes. */
  readonly hashes: readonly Uint8Array[]
  /** Root over them: a hash of the level above. */
  readonly root: Uint8Array
}

/** Reads hashes of a level of tiles, from `from` up to, without, `to`. */
export type ReadLevel = (level: number, from: number, to: number) => Promise<readonly Uint8Array[]>

const EMPTY: TreeRange = { size: 0, peaks: [] }
const TILE_HEIGHT = 8

/**
 * The tiles that become full when these leaves are added, lowest level first.
 *
 * Hashes that were there before are read again where such a tile holds them, and held against the range. Throws
 * {@link TornTile} where they don't fit it.
 */
export async function completedTiles(
  range: TreeRange,
  leafHashes: readonly Uint8Array[],
  read: ReadLevel,
): Promise<FullTile[]> {
  const tiles: FullTile[] = []
  let [level, first, added] = [0, range.size, leafHashes]
  for (;;) {
    const [from, to] = [Math.floor(first / TILE_WIDTH), Math.floor((first + added.length) / TILE_WIDTH)]
    if (from === to) return tiles
    const start = from * TILE_WIDTH
    const hashes = start === first ? added : [...(await earlier(range, level, start, first, read)), ...added]
    const roots: Uint8Array[] = []
    for (let index = from; index < to; index++) {
      const own = hashes.slice((index - from) * TILE_WIDTH, (index - from + 1) * TILE_WIDTH)
      const root = rootOf(extend(EMPTY, own))
      tiles.push({ level, index, hashes: own, root })
      roots.push(root)
    }
    ;[level, first, added] = [level + 1, from, roots]
  }
}

/** What is stored of a tile is not what the tree was made of. */
export class TornTile extends Error {
  constructor(level: number, from: number, to: number) {
    super(`hashes ${from} to ${to - 1} of level ${level} are not those that the tree was made of`)
    this.name = 'TornTile'
  }
}

async function earlier(
  range: TreeRange,
  level: number,
  from: number,
  to: number,
  read: ReadLevel,
): Promise<readonly Uint8Array[]> {
  const hashes = await read(level, from, to)
  const due = peaksOfLevel(range, level)
  const { size, peaks } = extend(EMPTY, hashes)
  const fits = size === to - from && peaks.length === due.length && peaks.every((peak, i) => equalBytes(peak, due[i]!))
  if (!fits) throw new TornTile(level, from, to)
  return hashes
}

/** Peaks of the heights that tiles of a level span: the roots over what an open tile of the level holds. */
function peaksOfLevel({ size, peaks }: TreeRange, level: number): Uint8Array[] {
  const heights: number[] = []
  for (let height = 0, rest = size; rest > 0; height++, rest = Math.floor(rest / 2)) {
    if (rest % 2 === 1) heights.unshift(height)
  }
  return peaks.filter((_, i) => Math.floor(heights[i]! / TILE_HEIGHT) === level)
}

/** How many peaks a range of a size has: its ones in binary. */
export function peakCount(size: number): number {
  let count = 0
  for (let rest = size; rest > 0; rest = Math.floor(rest / 2)) count += rest % 2
  return count
}
