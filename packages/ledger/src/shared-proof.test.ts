import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { utf8 } from './bytes.ts'
import { inclusionProof, nodeHash, type ReadHash, rootAt } from './merkle.ts'
import { sha256 } from './sha256.node.ts'
import { rootOfShared, sharedProof } from './shared-proof.ts'

const MOST = 300
const leaves = Array.from({ length: MOST }, (_, n) => sha256(utf8(`leaf ${n}`)))
const kept = new Map<string, Uint8Array>()
const read: ReadHash = (level, index) => {
  if (level === 0) return leaves[index]!
  const name = `${level}/${index}`
  const found = kept.get(name) ?? nodeHash(read(level - 1, 2 * index), read(level - 1, 2 * index + 1))
  kept.set(name, found)
  return found
}

const rootFrom = (indexes: readonly number[], size: number, hashes: readonly Uint8Array[], list = leaves): Uint8Array =>
  rootOfShared({
    indexes,
    size,
    leaf: (place, target, at) => target.set(list[indexes[place]!]!, at),
    hash: (place, target, at) => target.set(hashes[place]!, at),
    count: hashes.length,
  })

const choice = fc.integer({ min: 1, max: MOST }).chain((size) =>
  fc.record({
    size: fc.constant(size),
    indexes: fc
      .uniqueArray(fc.integer({ min: 0, max: size - 1 }), { maxLength: 40 })
      .map((list) => list.toSorted((a, b) => a - b)),
  }),
)

describe('shared proof', () => {
  test('of any entries in any tree leads to the root', () => {
    fc.assert(
      fc.property(choice, ({ size, indexes }) => {
        expect(rootFrom(indexes, size, sharedProof(indexes, size, read))).toEqual(rootAt(size, read))
      }),
      { numRuns: 500 },
    )
  })

  test('of one entry holds the hashes of its proof of inclusion, from left to right', () => {
    const hex = (list: readonly Uint8Array[]) => list.map((hash) => Buffer.from(hash).toString('hex')).sort()
    for (const [index, size] of [
      [0, 1],
      [6, 7],
      [3, 8],
      [255, 300],
    ] as const) {
      expect(hex(sharedProof([index], size, read))).toEqual(hex(inclusionProof(index, size, read)))
    }
  })

  test('of all entries needs no hash, of none the root', () => {
    expect(
      sharedProof(
        Array.from({ length: 9 }, (_, n) => n),
        9,
        read,
      ),
    ).toEqual([])
    expect(sharedProof([], 9, read)).toEqual([rootAt(9, read)])
  })

  test('with another leaf, hash or place leads elsewhere, or is refused', () => {
    fc.assert(
      fc.property(choice, fc.nat(), ({ size, indexes }, pick) => {
        fc.pre(indexes.length > 0)
        const hashes = sharedProof(indexes, size, read)
        const root = rootAt(size, read)
        const target = indexes[pick % indexes.length]
        const other = leaves.map((leaf, n) => (n === target ? sha256(leaf) : leaf))
        expect(rootFrom(indexes, size, hashes, other)).not.toEqual(root)
        const wrongLength = expect.objectContaining({ code: 'proof-length' })
        expect(() => rootFrom(indexes, size, [...hashes, root])).toThrow(wrongLength)
        if (hashes.length === 0) return
        const changed = hashes.map((hash, n) => (n === pick % hashes.length ? sha256(hash) : hash))
        expect(rootFrom(indexes, size, changed)).not.toEqual(root)
        expect(() => rootFrom(indexes, size, hashes.slice(1))).toThrow(wrongLength)
      }),
      { numRuns: 300 },
    )
  })

  test('insists on ascending indexes within the tree', () => {
    const refused = expect.objectContaining({ code: 'index-outside-tree' })
    for (const indexes of [[1, 1], [2, 1], [5], [-1], [0.5]]) {
      expect(() => sharedProof(indexes, 5, read), `${indexes}`).toThrow(refused)
      expect(() => rootFrom(indexes, 5, []), `${indexes}`).toThrow(refused)
    }
    expect(() => rootFrom([], 0, [])).toThrow(refused)
  })

  test('goes on above 2³²', () => {
    const hashes = Array.from({ length: 42 }, () => leaves[0]!)
    for (let level = 1; level < hashes.length; level++) hashes[level] = nodeHash(hashes[level - 1]!, hashes[level - 1]!)
    const alike: ReadHash = (level) => hashes[level]!
    const [size, indexes] = [2 ** 40 + 2 ** 33 + 5, [0, 2 ** 33 + 1, 2 ** 40 + 2 ** 33 + 4]]
    const proof = sharedProof(indexes, size, alike)
    expect(proof.length).toBeLessThan(130)
    const root = rootOfShared({
      ...{ indexes, size, count: proof.length },
      leaf: (_, target, at) => target.set(leaves[0]!, at),
      hash: (place, target, at) => target.set(proof[place]!, at),
    })
    expect(root).toEqual(rootAt(size, alike))
  })
})
