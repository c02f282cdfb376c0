import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { sha256 } from '#sha256'
import { utf8 } from './bytes.ts'
import type { VerificationError } from './errors.ts'
import {
  consistencyProof,
  EMPTY_ROOT,
  extend,
  inclusionProof,
  nodeHash,
  type ReadHash,
  rootAt,
  rootOf,
  verifyConsistency,
  verifyInclusion,
} from './merkle.ts'

const leaf = (n: number): Uint8Array => sha256(utf8(`leaf ${n}`))
const MOST = 600
const leaves = Array.from({ length: MOST }, (_, n) => leaf(n))

const kept = new Map<string, Uint8Array>()
/** Hash of a perfect subtree, straight from the definition. */
const read: ReadHash = (level, index) => {
  if (level === 0) return leaves[index]!
  const name = `${level}/${index}`
  const found = kept.get(name) ?? nodeHash(read(level - 1, 2 * index), read(level - 1, 2 * index + 1))
  kept.set(name, found)
  return found
}

/** MTH of RFC 6962, 2.1, word for word. */
function definition(list: readonly Uint8Array[]): Uint8Array {
  if (list.length === 0) return sha256()
  if (list.length === 1) return list[0]!
  let k = 1
  while (k * 2 < list.length) k *= 2
  return nodeHash(definition(list.slice(0, k)), definition(list.slice(k)))
}

const codeOf = (verify: () => void): string | undefined => {
  try {
    verify()
  } catch (error) {
    return (error as VerificationError).code
  }
  return undefined
}

const flip = (bytes: Uint8Array, bit: number): Uint8Array =>
  bytes.map((byte, i) => (i === bit >> 3 ? byte ^ (1 << (bit & 7)) : byte))

/** An index within a size, and the size. */
const place = fc
  .integer({ min: 1, max: MOST })
  .chain((size) => fc.record({ size: fc.constant(size), index: fc.integer({ min: 0, max: size - 1 }) }))
/** An old size from 1 to the new one. */
const growth = fc
  .integer({ min: 1, max: MOST })
  .chain((newSize) => fc.record({ newSize: fc.constant(newSize), oldSize: fc.integer({ min: 1, max: newSize }) }))

describe('root', () => {
  test('is that of the definition, grown at once, in steps, or read from hashes', () => {
    for (let size = 0; size <= 70; size++) {
      const due = definition(leaves.slice(0, size))
      const half = extend({ size: 0, peaks: [] }, leaves.slice(0, size >> 1))
      expect(rootOf(extend(half, leaves.slice(size >> 1, size)))).toEqual(due)
      expect(rootAt(size, read)).toEqual(due)
    }
    expect(rootAt(0, read)).toEqual(EMPTY_ROOT)
  })

  test('growing leaves the earlier range as it was', () => {
    const before = extend({ size: 0, peaks: [] }, leaves.slice(0, 7))
    const root = rootOf(before)
    expect(extend(before, leaves.slice(7, 9)).size).toBe(9)
    expect([before.size, before.peaks.length, rootOf(before)]).toEqual([7, 3, root])
  })

  test('goes on above 2³²: sizes are not cut to 32 bits', () => {
    const same = leaf(0)
    const perfect: ReadHash = (level) => (level === 0 ? same : nodeHash(perfect(level - 1, 0), perfect(level - 1, 0)))
    const hashes = Array.from({ length: 41 }, () => same)
    for (let level = 1; level <= 40; level++) hashes[level] = nodeHash(hashes[level - 1]!, hashes[level - 1]!)
    const quick: ReadHash = (level) => hashes[level]!
    const [index, size] = [2 ** 40 - 3, 2 ** 40 + 2 ** 33 + 5]
    const root = rootAt(size, quick)
    const proof = inclusionProof(index, size, quick)
    expect(codeOf(() => verifyInclusion({ leafHash: same, index, size, proof, root }))).toBeUndefined()
    expect(perfect(3, 0)).toEqual(hashes[3])
    const path = consistencyProof(2 ** 33 + 1, size, quick)
    const old = { oldSize: 2 ** 33 + 1, oldRoot: rootAt(2 ** 33 + 1, quick) }
    expect(codeOf(() => verifyConsistency({ ...old, newSize: size, newRoot: root, proof: path }))).toBeUndefined()
  })
})

describe('inclusion', () => {
  test('holds for any place in any tree', () => {
    fc.assert(
      fc.property(place, ({ size, index }) => {
        const proof = inclusionProof(index, size, read)
        verifyInclusion({ leafHash: leaves[index]!, index, size, proof, root: rootAt(size, read) })
      }),
      { numRuns: 500 },
    )
  })

  test('does not hold with one bit changed anywhere, a hash more or less, or elsewhere', () => {
    fc.assert(
      fc.property(place, fc.nat(), fc.nat(255), ({ size, index }, pick, bit) => {
        const good = { leafHash: leaves[index]!, index, size, root: rootAt(size, read) }
        const proof = inclusionProof(index, size, read)
        const spoiledProof = proof.map((hash, i) => (i === pick % proof.length ? flip(hash, bit) : hash))
        const spoiled = [
          { ...good, proof, leafHash: flip(good.leafHash, bit) },
          { ...good, proof, root: flip(good.root, bit) },
          ...(proof.length > 0
            ? [
                { ...good, proof: spoiledProof },
                { ...good, proof: proof.slice(1) },
              ]
            : []),
          { ...good, proof: [...proof, good.root] },
          { ...good, proof: [good.root, ...proof] },
          ...(size > 1 ? [{ ...good, proof, index: (index + 1 + (pick % (size - 1))) % size }] : []),
        ]
        for (const one of spoiled) {
          expect(codeOf(() => verifyInclusion(one))).toMatch(/^(inclusion-wrong|proof-length)$/)
        }
      }),
      { numRuns: 300 },
    )
  })

  test.each([
    ['a hash of 31 bytes', { leafHash: new Uint8Array(31) }, 'hash-malformed'],
    [
      'no hash at all where root and leaf would be the same',
      { leafHash: new Uint8Array(), root: new Uint8Array() },
      'hash-malformed',
    ],
    ['an index at the size', { index: 1 }, 'index-outside-tree'],
    ['an empty tree', { size: 0 }, 'index-outside-tree'],
    ['half an index', { index: 0.5 }, 'size-malformed'],
    ['an index below zero', { index: -1 }, 'size-malformed'],
    ['a size that is no whole number any more', { size: 2 ** 53 }, 'size-malformed'],
  ])('refuses %s', (_, change, code) => {
    const good = { leafHash: leaf(0), index: 0, size: 1, proof: [], root: leaf(0) }
    expect(codeOf(() => verifyInclusion(good))).toBeUndefined()
    expect(codeOf(() => verifyInclusion({ ...good, ...change }))).toBe(code)
  })
})

describe('consistency', () => {
  test('holds between any two sizes', () => {
    fc.assert(
      fc.property(growth, ({ oldSize, newSize }) => {
        const proof = consistencyProof(oldSize, newSize, read)
        verifyConsistency({ oldSize, newSize, proof, oldRoot: rootAt(oldSize, read), newRoot: rootAt(newSize, read) })
      }),
      { numRuns: 500 },
    )
  })

  test('does not hold with one bit changed, a hash more or less, or another size', () => {
    fc.assert(
      fc.property(growth, fc.nat(), fc.nat(255), ({ oldSize, newSize }, pick, bit) => {
        const good = { oldSize, newSize, oldRoot: rootAt(oldSize, read), newRoot: rootAt(newSize, read) }
        const proof = consistencyProof(oldSize, newSize, read)
        const spoiledProof = proof.map((hash, i) => (i === pick % proof.length ? flip(hash, bit) : hash))
        const spoiled = [
          { ...good, proof, oldRoot: flip(good.oldRoot, bit) },
          { ...good, proof, newRoot: flip(good.newRoot, bit) },
          { ...good, proof: [...proof, good.newRoot] },
          ...(proof.length > 0
            ? [
                { ...good, proof: spoiledProof },
                { ...good, proof: proof.slice(1) },
              ]
            : []),
          ...(oldSize < newSize ? [{ ...good, proof, oldSize: newSize, newSize: oldSize }] : []),
        ]
        for (const one of spoiled) {
          expect(codeOf(() => verifyConsistency(one))).toMatch(/^(consistency-wrong|proof-length)$/)
        }
      }),
      { numRuns: 300 },
    )
  })

  test('a tree of another history does not continue the old one', () => {
    const other = [...leaves.slice(0, 5), leaf(9_999), ...leaves.slice(6, 12)]
    const readOther: ReadHash = (level, index) => definition(other.slice(index * 2 ** level, (index + 1) * 2 ** level))
    const proof = consistencyProof(7, 12, readOther)
    const sizes = { oldSize: 7, oldRoot: rootAt(7, read), newSize: 12, newRoot: rootAt(12, readOther), proof }
    expect(codeOf(() => verifyConsistency(sizes))).toBe('consistency-wrong')
  })

  test('from an empty tree says nothing, hence is refused', () => {
    const empty = { oldSize: 0, oldRoot: EMPTY_ROOT, newSize: 3, newRoot: rootAt(3, read), proof: [] }
    expect(codeOf(() => verifyConsistency(empty))).toBe('consistency-from-empty')
    expect(codeOf(() => consistencyProof(0, 3, read))).toBe('consistency-from-empty')
  })
})
