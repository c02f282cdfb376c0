import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { sha256 } from '#sha256'
import { concat, utf8 } from './bytes.ts'
import { extend, inclusionProof, nodeHash, rootAt, rootOf, verifyInclusion } from './merkle.ts'
import { decodeEntries, encodeEntries, parseTilePath, readFromTiles, TILE_WIDTH, tilePath, tilesOf } from './tiles.ts'

/** Tiles of a tree as a server would keep them: level by level, full subtrees only. */
function tilesFrom(leaves: readonly Uint8Array[]): Map<string, Uint8Array> {
  const tiles = new Map<string, Uint8Array>()
  let row = leaves
  for (let level = 0; row.length > 0; level++) {
    for (let index = 0; index * TILE_WIDTH < row.length; index++) {
      tiles.set(`${level}/${index}`, concat(row.slice(index * TILE_WIDTH, (index + 1) * TILE_WIDTH)))
    }
    const full = Array.from({ length: Math.floor(row.length / TILE_WIDTH) }, (_, n) =>
      row.slice(n * TILE_WIDTH, (n + 1) * TILE_WIDTH),
    )
    row = full.map((hashes) => rootOf(extend({ size: 0, peaks: [] }, hashes)))
  }
  return tiles
}

describe('tiles of a size', () => {
  // C2SP tlog-tiles, Partial Tiles: both examples; looked up.
  test('70,000 leaves: 273 full and a partial of 112, one full and a partial of 17, a partial of 1', () => {
    const tiles = tilesOf(70_000)
    const widths = (level: number) => tiles.filter((tile) => tile.level === level).map(({ width }) => width)
    expect(widths(0)).toEqual([...Array.from({ length: 273 }, () => 256), 112])
    expect(widths(1)).toEqual([256, 17])
    expect(widths(2)).toEqual([1])
    expect(widths(3)).toEqual([])
  })

  test('256 leaves: one full and a partial of 1', () => {
    expect(tilesOf(256)).toEqual([
      { level: 0, index: 0, width: 256 },
      { level: 1, index: 0, width: 1 },
    ])
    expect(tilesOf(0)).toEqual([])
    expect(tilesOf(1)).toEqual([{ level: 0, index: 0, width: 1 }])
  })
})

describe('path of a tile', () => {
  test.each([
    // C2SP tlog-tiles, Merkle Tree: 1234067 is x001/x234/067; looked up.
    [0, 1_234_067, undefined, 'tile/0/x001/x234/067'],
    [0, 0, undefined, 'tile/0/000'],
    [3, 999, undefined, 'tile/3/999'],
    [1, 1_000, 17, 'tile/1/x001/000.p/17'],
    ['entries', 273, 112, 'tile/entries/273.p/112'],
    [63, 5, 256, 'tile/63/005'],
  ] as const)('%s %i %s is %s, there and back', (level, index, width, path) => {
    expect(tilePath(level, index, width)).toBe(path)
    expect(parseTilePath(path)).toEqual({ level, index, width: width ?? 256 })
  })

  test.each([
    'tile/0/1',
    'tile/00/001',
    'tile/64/001',
    'tile/0/x000/001',
    'tile/0/x001',
    'tile/0/001/002',
    'tile/0/001.p/0',
    'tile/0/001.p/256',
    'tile/0/001.p/07',
    'tile/0/001.p/',
    'tile/-1/001',
    'tile/entries/01',
    'tile/0/x999/x999/x999/x999/x999/999',
    '/tile/0/001',
    'tile/0/001/',
    '',
  ])('%s is none', (path) => {
    expect(parseTilePath(path)).toBeUndefined()
  })

  test('is refused for what there is not', () => {
    for (const wrong of [
      () => tilePath(64, 0),
      () => tilePath(0, -1),
      () => tilePath(0, 0.5),
      () => tilePath(0, 0, 0),
    ]) {
      expect(wrong).toThrow(expect.objectContaining({ code: 'tile-malformed' }))
    }
  })
})

describe('reading from tiles', () => {
  const leaves = Array.from({ length: 66_000 }, (_, n) => sha256(utf8(`${n}`)))
  const tiles = tilesFrom(leaves)
  const load = (level: number, index: number): Uint8Array => tiles.get(`${level}/${index}`)!

  test.each([1, 255, 256, 257, 1_025, 65_536, 66_000])('%i leaves: the root is that of the leaves', (size) => {
    const due = rootOf(extend({ size: 0, peaks: [] }, leaves.slice(0, size)))
    expect(rootAt(size, readFromTiles(size, load))).toEqual(due)
  })

  test('proofs out of tiles hold', () => {
    fc.assert(
      fc.property(
        fc.integer({ min: 1, max: leaves.length }),
        fc.double({ min: 0, max: 0.999, noNaN: true }),
        (size, share) => {
          const index = Math.floor(size * share)
          const read = readFromTiles(size, load)
          const proof = inclusionProof(index, size, read)
          verifyInclusion({ leafHash: leaves[index]!, index, size, proof, root: rootAt(size, read) })
        },
      ),
      { numRuns: 40 },
    )
  })

  test('a node between two tile levels is hashed from the tile', () => {
    const read = readFromTiles(4, load)
    expect(read(1, 1)).toEqual(nodeHash(leaves[2]!, leaves[3]!))
  })

  test('a node beyond the tree, a tile cut short and one too long are refused', () => {
    const malformed = expect.objectContaining({ code: 'tile-malformed' })
    expect(() => readFromTiles(3, load)(1, 1)).toThrow(malformed)
    expect(() => readFromTiles(300, () => load(0, 0).subarray(0, 100))(0, 3)).toThrow(malformed)
    expect(() => readFromTiles(300, () => load(0, 0).subarray(0, 96))(0, 3)).toThrow(malformed)
    expect(() => readFromTiles(300, () => new Uint8Array(257 * 32))(0, 3)).toThrow(malformed)
  })
})

describe('a bundle of entries', () => {
  test('comes back as it went in', () => {
    fc.assert(
      fc.property(fc.array(fc.uint8Array({ maxLength: 400 })), (entries) => {
        expect(decodeEntries(encodeEntries(entries))).toEqual(entries)
      }),
    )
  })

  test('lengths are two bytes, the higher first', () => {
    const bytes = encodeEntries([new Uint8Array(258).fill(9), new Uint8Array()])
    expect([bytes[0], bytes[1], bytes.length]).toEqual([1, 2, 262])
    expect([...bytes.slice(-2)]).toEqual([0, 0])
  })

  test('cut short or too long is refused', () => {
    const malformed = expect.objectContaining({ code: 'entries-malformed' })
    const bytes = encodeEntries([utf8('one'), utf8('two')])
    for (const length of [9, 6, 8]) expect(() => decodeEntries(bytes.slice(0, length))).toThrow(malformed)
    expect(decodeEntries(bytes.slice(0, 5))).toEqual([utf8('one')])
    expect(() => encodeEntries([new Uint8Array(65_536)])).toThrow(malformed)
  })
})
