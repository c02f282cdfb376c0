/**
 * One proof for many entries: the hashes of the largest subtrees that hold none of them, from left to right.
 *
 * With the leaf hashes of the entries they give the root, and each inner node is hashed once. Which subtrees they are
 * follows from size and indexes alone (the splits of RFC 6962, 2.1), so a proof has one spelling and one length.
 */
import { sha256Into } from '#sha256'
import { VerificationError } from './errors.ts'
import { HASH_BYTES, nodeHash, type ReadHash } from './merkle.ts'

/** Stands before the two parts of an inner node (RFC 6962, 2.1). */
const NODE_PREFIX = 0x01

/** The indexes that fall below a place in the sorted list, and those from it on. */
interface Walk {
  readonly indexes: readonly number[]
  /** How many of them were passed. */
  at: number
}

/** Whether the next index lies before `end`. */
const holdsNext = ({ indexes, at }: Walk, end: number): boolean => at < indexes.length && indexes[at]! < end

/** From here on the bit operators of JavaScript do not reach. */
const MANY = 2 ** 31

/** Where a range of two or more leaves is split: the largest power of two below its length. */
function middleOf(start: number, end: number): number {
  const count = end - start
  // Most ranges are perfect, and a power of two is told by its one bit.
  if (count < MANY && (count & (count - 1)) === 0) return start + count / 2
  let half = 1
  while (half * 2 < count) half *= 2
  return start + half
}

/**
 * The hashes that prove the leaves at `indexes`, ascending without repetition, in a tree of `size`.
 *
 * Throws `index-outside-tree` for an index that isn’t below the size or not above the one before it.
 */
export function sharedProof(indexes: readonly number[], size: number, read: ReadHash): Uint8Array[] {
  insistOnOrder(indexes, size)
  const hashes: Uint8Array[] = []
  const walk: Walk = { indexes, at: 0 }
  const visit = (start: number, end: number): void => {
    if (!holdsNext(walk, end)) hashes.push(rangeHash(start, end, read))
    else if (end - start === 1) walk.at++
    else {
      const middle = middleOf(start, end)
      visit(start, middle)
      visit(middle, end)
    }
  }
  if (size > 0) visit(0, size)
  return hashes
}

/** Hash over the leaves of a range that the splits lead to. */
function rangeHash(start: number, end: number, read: ReadHash): Uint8Array {
  const level = Math.round(Math.log2(end - start))
  if (2 ** level === end - start) return read(level, start / 2 ** level)
  const middle = middleOf(start, end)
  return nodeHash(rangeHash(start, middle, read), rangeHash(middle, end, read))
}

/** Writes a hash of 32 bytes into `target` from a byte on. */
type WriteHash = (place: number, target: Uint8Array, at: number) => void

export interface SharedProof {
  readonly indexes: readonly number[]
  readonly size: number
  /** Leaf hash of the entry at `indexes[place]`. */
  readonly leaf: WriteHash
  /** The hash of the proof at a place. */
  readonly hash: WriteHash
  /** How many hashes the proof has. */
  readonly count: number
}

/** Deeper than any tree of less than 2⁵³ leaves. */
const DEPTH = 54

/**
 * The root that leaves and proof give. Throws `index-outside-tree`, and `proof-length` for a proof with more or fewer
 * hashes than it takes.
 *
 * Hashes lie on a stack, so that two sisters are side by side when they are hashed, and nothing is made anew but digests.
 */
export function rootOfShared({ indexes, size, leaf, hash, count }: SharedProof): Uint8Array {
  insistOnOrder(indexes, size)
  if (size === 0) throw new VerificationError('index-outside-tree', 'An empty tree holds nothing.')
  const stack = new Uint8Array(1 + (DEPTH + 1) * HASH_BYTES)
  /** By depth: the byte before a hash, the hash, and its sister behind it. */
  const pairs = Array.from({ length: DEPTH }, (_, depth) =>
    stack.subarray(depth * HASH_BYTES, depth * HASH_BYTES + 1 + 2 * HASH_BYTES),
  )
  const walk: Walk = { indexes, at: 0 }
  let used = 0
  /** Leaves the hash over a range at its depth of the stack. */
  const visit = (start: number, end: number, depth: number): void => {
    const at = 1 + depth * HASH_BYTES
    if (!holdsNext(walk, end)) {
      if (used === count) throw wrongLength(count)
      hash(used++, stack, at)
    } else if (end - start === 1) leaf(walk.at++, stack, at)
    else {
      const middle = middleOf(start, end)
      visit(start, middle, depth)
      visit(middle, end, depth + 1)
      hashPair(stack, pairs[depth]!, at)
    }
  }
  visit(0, size, 0)
  if (used < count) throw wrongLength(count)
  return stack.slice(1, 1 + HASH_BYTES)
}

/** Hash of an inner node in place of its left part. The byte before belongs to another hash and is put back. */
function hashPair(stack: Uint8Array, pair: Uint8Array, at: number): void {
  const before = stack[at - 1]!
  stack[at - 1] = NODE_PREFIX
  sha256Into(pair, stack, at)
  stack[at - 1] = before
}

function wrongLength(count: number): VerificationError {
  return new VerificationError(
    'proof-length',
    `The proof that the entries are in the tree has ${count} hashes, which is not how many it takes.`,
  )
}

function insistOnOrder(indexes: readonly number[], size: number): void {
  let last = -1
  for (const index of indexes) {
    if (!Number.isSafeInteger(index) || index >= size || index <= last) {
      throw new VerificationError(
        'index-outside-tree',
        `Entry ${index} has no place in a tree of ${size} behind entry ${last}.`,
      )
    }
    last = index
  }
}
