/**
 * Testers by what they found on the same plants: pairs of tests by two firms, near in time, with no change of equipment
 * between. What the plant is drops out, so that few pairs say more than many tests of different plants.
 */
import type { TesterMean } from './funnel.ts'

export interface Repeat {
  readonly first: string
  readonly second: string
  readonly plant: string
  /** Logarithm of the efficiency that `first` found, less that of `second`. */
  readonly difference: number
  /** Standard uncertainty that each of the two states, as a share of the efficiency. */
  readonly uncertainties: readonly [first: number, second: number]
}

/** Fewer pairs of a tester say too little, however well they agree. */
export const REPEATS_MIN = 8

/**
 * Offsets of testers from the middle of those they are joined with through pairs, by least squares over all pairs at once:
 * who was compared with an offset tester is not taken for offset himself. The spread of a single pair is what the fit
 * leaves over. Testers whom no chain of pairs joins to the largest group are left out.
 */
export function offsetsOf(repeats: readonly Repeat[]): TesterMean[] {
  const joined = largestGroup(repeats)
  const testers = [...joined].toSorted()
  const k = testers.length
  const place = new Map(testers.map((tester, n) => [tester, n]))
  const used = repeats.filter(({ first }) => joined.has(first))
  const freedom = used.length - (k - 1)
  if (k < 2 || freedom < 1) return []
  // Normal equations of the differences, with Σ offsets = 0 added: the matrix of ones makes them solvable.
  const normal = Array.from({ length: k }, () => new Float64Array(k).fill(1))
  const right = new Float64Array(k)
  for (const { first, second, difference } of used) {
    const [a, b] = [place.get(first)!, place.get(second)!]
    normal[a]![a]! += 1
    normal[b]![b]! += 1
    normal[a]![b]! -= 1
    normal[b]![a]! -= 1
    right[a]! += difference
    right[b]! -= difference
  }
  const inverse = inverted(normal)
  const offsets = inverse.map((row) => row.reduce((sum, value, n) => sum + value * right[n]!, 0))
  const squares = used.reduce(
    (sum, { first, second, difference }) =>
      sum + (difference - offsets[place.get(first)!]! + offsets[place.get(second)!]!) ** 2,
    0,
  )
  const variance = squares / freedom
  return testers.map((tester, n) => {
    const own = used.filter(({ first, second }) => first === tester || second === tester)
    return {
      tester,
      tests: own.length,
      plants: new Set(own.map(({ plant }) => plant)).size,
      value: offsets[n]!,
      // Less the share of the added ones, which is no spread.
      standardError: Math.sqrt(variance * (inverse[n]![n]! - 1 / (k * k))),
      spread: own.reduce((sum, { first, uncertainties: [a, b] }) => sum + (first === tester ? a : b), 0) / own.length,
    }
  })
}

/** Testers of the largest group that pairs join. */
function largestGroup(repeats: readonly Repeat[]): ReadonlySet<string> {
  const neighbours = new Map<string, Set<string>>()
  const join = (from: string, to: string): void => {
    const known = neighbours.get(from) ?? new Set()
    known.add(to)
    neighbours.set(from, known)
  }
  for (const { first, second } of repeats) {
    join(first, second)
    join(second, first)
  }
  let largest: ReadonlySet<string> = new Set()
  const seen = new Set<string>()
  for (const start of [...neighbours.keys()].toSorted()) {
    if (seen.has(start)) continue
    const group = new Set([start])
    for (const tester of group) for (const next of neighbours.get(tester)!) group.add(next)
    for (const tester of group) seen.add(tester)
    if (group.size > largest.size) largest = group
  }
  return largest
}

/** Inverse of a symmetric positive definite matrix, by Gauss and Jordan, which needs no exchange of rows there. */
function inverted(matrix: readonly Float64Array[]): Float64Array[] {
  const k = matrix.length
  const work = matrix.map((row) => Float64Array.from(row))
  const inverse = Array.from({ length: k }, (_, n) => {
    const row = new Float64Array(k)
    row[n] = 1
    return row
  })
  for (let pivot = 0; pivot < k; pivot++) {
    const by = work[pivot]![pivot]!
    for (let n = 0; n < k; n++) {
      work[pivot]![n]! /= by
      inverse[pivot]![n]! /= by
    }
    for (let row = 0; row < k; row++) {
      const times = work[row]![pivot]!
      if (row === pivot || times === 0) continue
      for (let n = 0; n < k; n++) {
        work[row]![n]! -= times * work[pivot]![n]!
        inverse[row]![n]! -= times * inverse[pivot]![n]!
      }
    }
  }
  return inverse
}
