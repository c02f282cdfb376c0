/**
 * The tree over the entries: roots, proofs that an entry is in it, proofs that a later tree continues an earlier one.
 *
 * RFC 6962 (2013), 2.1, and RFC 9162 (2021), 2.1, which hash alike. Sizes and indexes are whole numbers below 2⁵³;
 * they are halved by division, since the bit operators of JavaScript end at 2³¹.
 */
import { sha256 } from '#sha256'
import { equalBytes } from './bytes.ts'
import { VerificationError } from './errors.ts'

export const HASH_BYTES = 32
const NODE_PREFIX = Uint8Array.of(0x01)

/** Root of a tree without leaves: SHA-256 of nothing. */
export const EMPTY_ROOT: Uint8Array = sha256()

/** Hash of an inner node: SHA-256(0x01 ‖ left ‖ right). */
export function nodeHash(left: Uint8Array, right: Uint8Array): Uint8Array {
  return sha256(NODE_PREFIX, left, right)
}

/** The first `size` leaves, as the roots of the perfect subtrees they fall into: larger, that is earlier, ones first. */
export interface TreeRange {
  readonly size: number
  readonly peaks: readonly Uint8Array[]
}

/** Hash of the perfect subtree `index` of height `level`: of the leaves `index · 2^level` up to the next one’s first. */
export type ReadHash = (level: number, index: number) => Uint8Array

/** The range with more leaves at its end; the given one stays as it was. */
export function extend(range: TreeRange, leafHashes: readonly Uint8Array[]): TreeRange {
  const peaks = [...range.peaks]
  let size = range.size
  for (const leaf of leafHashes) {
    let top = leaf
    // Each one bit at the end of the size is a perfect subtree that now gets its right sister.
    for (let rest = size; rest % 2 === 1; rest = (rest - 1) / 2) top = nodeHash(peaks.pop()!, top)
    peaks.push(top)
    size++
  }
  return { size, peaks }
}

/** Root of the tree over the leaves of a range. */
export function rootOf({ peaks }: TreeRange): Uint8Array {
  const last = peaks.at(-1)
  if (last === undefined) return EMPTY_ROOT
  return peaks.slice(0, -1).reduceRight((right, left) => nodeHash(left, right), last)
}

/** Root of the tree over the first `size` leaves. */
export function rootAt(size: number, read: ReadHash): Uint8Array {
  insistOnCount(size, 'The size of a tree')
  return size === 0 ? EMPTY_ROOT : rangeHash(0, size, read)
}

/** Largest power of two below n, with its exponent; n ≥ 2. */
function split(n: number): { readonly half: number; readonly level: number } {
  let half = 1
  let level = 0
  while (half * 2 < n) {
    half *= 2
    level++
  }
  return { half, level }
}

/** Hash over the leaves from `start` up to `end`, where `start` is a multiple of the power of two that `end - start` reaches. */
function rangeHash(start: number, end: number, read: ReadHash): Uint8Array {
  const count = end - start
  if (count === 1) return read(0, start)
  const { half, level } = split(count)
  if (half * 2 === count) return read(level + 1, start / count)
  return nodeHash(read(level, start / half), rangeHash(start + half, end, read))
}

/** Hashes that lead from leaf `index` to the root of the first `size` leaves, lowest first (RFC 6962, 2.1.1). */
export function inclusionProof(index: number, size: number, read: ReadHash): Uint8Array[] {
  insistOnPlace(index, size)
  const proof: Uint8Array[] = []
  let [start, end] = [0, size]
  while (end - start > 1) {
    const middle = start + split(end - start).half
    if (index < middle) {
      proof.push(rangeHash(middle, end, read))
      end = middle
    } else {
      proof.push(rangeHash(start, middle, read))
      start = middle
    }
  }
  return proof.reverse()
}

/**
 * Hashes that show that the tree of `newSize` leaves begins with that of `oldSize` (RFC 6962, 2.1.2).
 *
 * Throws `consistency-from-empty` for an old size of 0: there is nothing to show.
 */
export function consistencyProof(oldSize: number, newSize: number, read: ReadHash): Uint8Array[] {
  insistOnSizes(oldSize, newSize)
  const proof: Uint8Array[] = []
  let [start, end] = [0, newSize]
  // Until here the old tree is a whole subtree of the new one, whose hash the reader has.
  let known = true
  while (oldSize !== end) {
    const middle = start + split(end - start).half
    if (oldSize <= middle) {
      proof.push(rangeHash(middle, end, read))
      end = middle
    } else {
      proof.push(rangeHash(start, middle, read))
      start = middle
      known = false
    }
  }
  if (!known) proof.push(rangeHash(start, end, read))
  return proof.reverse()
}

export interface Inclusion {
  readonly leafHash: Uint8Array
  readonly index: number
  readonly size: number
  readonly proof: readonly Uint8Array[]
  readonly root: Uint8Array
}

/**
 * The root that a proof leads to from a leaf (RFC 9162, 2.1.3.2); it is for the caller to know that root as the tree’s.
 *
 * Throws {@link VerificationError} for a proof of another length than this place in this tree needs.
 */
export function rootOfInclusion({ leafHash, index, size, proof }: Omit<Inclusion, 'root'>): Uint8Array {
  for (const hash of [leafHash, ...proof]) insistOnHash(hash)
  insistOnPlace(index, size)
  let [at, last] = [index, size - 1]
  let hash = leafHash
  for (const sister of proof) {
    if (last === 0) throw tooLong(index, size)
    if (at % 2 === 1 || at === last) {
      hash = nodeHash(sister, hash)
      // Without a right sister the node is the same one, higher up.
      while (at % 2 === 0 && at !== 0) [at, last] = [at / 2, Math.floor(last / 2)]
    } else {
      hash = nodeHash(hash, sister)
    }
    ;[at, last] = [Math.floor(at / 2), Math.floor(last / 2)]
  }
  if (last !== 0) {
    throw new VerificationError(
      'proof-length',
      `The proof that entry ${index} is in the tree of ${size} is too short: it has ${proof.length} hashes.`,
    )
  }
  return hash
}

/** Throws {@link VerificationError} unless the proof leads from the leaf to the root. */
export function verifyInclusion({ root, ...inclusion }: Inclusion): void {
  insistOnHash(root)
  if (equalBytes(rootOfInclusion(inclusion), root)) return
  const { index, size } = inclusion
  throw new VerificationError(
    'inclusion-wrong',
    `The proof does not lead from entry ${index} to the root of the tree of ${size}: the entry, its place, the proof or the root is not what it was.`,
  )
}

export interface Consistency {
  readonly oldSize: number
  readonly oldRoot: Uint8Array
  readonly newSize: number
  readonly newRoot: Uint8Array
  readonly proof: readonly Uint8Array[]
}

/** Throws {@link VerificationError} unless the new tree begins with the old one (RFC 9162, 2.1.4.2). */
export function verifyConsistency({ oldSize, oldRoot, newSize, newRoot, proof }: Consistency): void {
  for (const hash of [oldRoot, newRoot, ...proof]) insistOnHash(hash)
  insistOnSizes(oldSize, newSize)
  const wrongLength = (): VerificationError =>
    new VerificationError(
      'proof-length',
      `${proof.length} hashes can not show that the tree of ${newSize} continues the tree of ${oldSize}.`,
    )
  if (oldSize === newSize) {
    if (proof.length > 0) throw wrongLength()
    if (!equalBytes(oldRoot, newRoot)) throw forked(oldSize, newSize)
    return
  }
  let [at, last] = [oldSize - 1, newSize - 1]
  while (at % 2 === 1) [at, last] = [(at - 1) / 2, Math.floor(last / 2)]
  // Of a perfect old tree the root itself is where the climb begins, and isn't repeated in the proof.
  const path = at === 0 ? [oldRoot, ...proof] : proof
  const [first, ...rest] = path
  if (first === undefined) throw wrongLength()
  let [oldHash, newHash] = [first, first]
  for (const sister of rest) {
    if (last === 0) throw wrongLength()
    if (at % 2 === 1 || at === last) {
      oldHash = nodeHash(sister, oldHash)
      newHash = nodeHash(sister, newHash)
      while (at % 2 === 0 && at !== 0) [at, last] = [at / 2, Math.floor(last / 2)]
    } else {
      newHash = nodeHash(newHash, sister)
    }
    ;[at, last] = [Math.floor(at / 2), Math.floor(last / 2)]
  }
  if (last !== 0) throw wrongLength()
  if (!equalBytes(oldHash, oldRoot) || !equalBytes(newHash, newRoot)) throw forked(oldSize, newSize)
}

function forked(oldSize: number, newSize: number): VerificationError {
  return new VerificationError(
    'consistency-wrong',
    `The tree of ${newSize} is not shown to continue the tree of ${oldSize}: one of the roots or the proof is not what it was, or the log was changed in between.`,
  )
}

function tooLong(index: number, size: number): VerificationError {
  return new VerificationError('proof-length', `The proof that entry ${index} is in the tree of ${size} is too long.`)
}

function insistOnHash(hash: Uint8Array): void {
  if (hash.length === HASH_BYTES) return
  throw new VerificationError('hash-malformed', `A hash has ${HASH_BYTES} bytes; this one has ${hash.length}.`)
}

function insistOnCount(count: number, what: string): void {
  if (Number.isSafeInteger(count) && count >= 0) return
  throw new VerificationError('size-malformed', `${what} must be a whole number from 0 below 2⁵³, not ${count}.`)
}

function insistOnPlace(index: number, size: number): void {
  insistOnCount(index, 'The index of an entry')
  insistOnCount(size, 'The size of a tree')
  if (index < size) return
  throw new VerificationError('index-outside-tree', `A tree of ${size} entries has no entry ${index}.`)
}

function insistOnSizes(oldSize: number, newSize: number): void {
  insistOnCount(oldSize, 'The size of the earlier tree')
  insistOnCount(newSize, 'The size of the later tree')
  if (oldSize === 0) {
    throw new VerificationError('consistency-from-empty', 'The earlier tree is empty; every tree continues it.')
  }
  if (oldSize > newSize) {
    throw new VerificationError(
      'consistency-wrong',
      `A tree of ${newSize} entries can not continue one of ${oldSize}: entries are missing.`,
    )
  }
}
