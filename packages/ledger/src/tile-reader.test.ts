import { expect, test } from 'vitest'
import { leafHash } from './entry.ts'
import { extend, inclusionProof, rootAt, rootOf, verifyInclusion } from './merkle.ts'
import { TileReader } from './tile-reader.ts'
import { type HashTile, TILE_WIDTH } from './tiles.ts'

const SIZE = 700
const leaves = Array.from({ length: SIZE }, (_, n) => leafHash(new TextEncoder().encode(`entry ${n}`)))
/** Of each full tile below, the root. */
const level = (n: number): Uint8Array[] =>
  n === 0
    ? leaves
    : Array.from({ length: Math.floor(level(n - 1).length / TILE_WIDTH) }, (_, i) =>
        rootOf(extend({ size: 0, peaks: [] }, level(n - 1).slice(i * TILE_WIDTH, (i + 1) * TILE_WIDTH))),
      )
const bytesOf = ({ level: at, index, width }: HashTile): Uint8Array =>
  new Uint8Array(Buffer.concat(level(at).slice(index * TILE_WIDTH, index * TILE_WIDTH + width)))

test('each tile is loaded once, as wide as the tree has it, however many proofs are made', async () => {
  const asked: string[] = []
  const reader = new TileReader(SIZE, async (tiles) => {
    asked.push(...tiles.map(({ level: at, index, width }) => `${at}/${index}.${width}`))
    return tiles.map(bytesOf)
  })
  const root = await reader.read((read) => rootAt(SIZE, read))
  for (const index of [0, 255, 256, 511, 512, 699]) {
    const proof = await reader.read((read) => inclusionProof(index, SIZE, read))
    verifyInclusion({ leafHash: leaves[index]!, index, size: SIZE, proof, root })
  }
  expect(asked.toSorted()).toEqual(['0/0.256', '0/1.256', '0/2.188', '1/0.2'])
})

test('a tile that can’t be loaded, or is none, is told', async () => {
  const gone = new TileReader(SIZE, async () => Promise.reject(new Error('gone')))
  await expect(gone.read((read) => rootAt(SIZE, read))).rejects.toThrow('gone')
  const short = new TileReader(SIZE, async (tiles) => tiles.map(() => new Uint8Array(31)))
  await expect(short.read((read) => rootAt(SIZE, read))).rejects.toMatchObject({ code: 'tile-malformed' })
})
