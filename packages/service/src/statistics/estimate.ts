/**
 * Means, ratios and percentiles with 95 % intervals, from the exact sums of cells.
 *
 * The plant is what was sampled: tests of one plant don't count as independent. Where the sums of a group come in several
 * parts, one plant may stand in more than one of them; then the roots of the parts' sums of squares are added up, which
 * is never less than the root over plants (Minkowski's inequality), and the interval is told as an upper bound.
 */
import { coverageFactor95 } from '@liftledger/calc'
import { LRUCache } from 'lru-cache'
import { highestOf, lowestOf, middleOf } from './bins.ts'
import type { Counts, Part } from './part.ts'
import { type MeasureSlots, type RatioSlots, read, readBig, type Slot } from './sums.ts'

export interface Estimate {
  /** In steps of the measure, or y per w. */
  readonly value: number
  readonly tests: number
  /** Plants, or how many there are at least where the sums come in parts. */
  readonly plants: number
  /** Half-width of the 95 % interval; absent with fewer than two plants. */
  readonly halfWidth?: number
  /** The interval may be wider than it need be. */
  readonly isBound: boolean
}

const total = (parts: readonly Part[], slot: Slot): number => parts.reduce((sum, { sums }) => sum + read(sums, slot), 0)
const most = (parts: readonly Part[], slot: Slot): number =>
  parts.reduce((top, { sums }) => Math.max(top, read(sums, slot)), 0)
const totalBig = (parts: readonly Part[], slot: Slot): bigint =>
  parts.reduce((sum, { sums }) => sum + readBig(sums, slot), 0n)

/** Root of the sum over plants of squared residuals, as if parts had no plant in common or all of them, whichever is more. */
function rootOfSquares(squares: readonly bigint[], scale: bigint): number {
  return squares.reduce((sum, one) => sum + Math.sqrt(Number(one < 0n ? 0n : one)) / Number(scale), 0)
}

function withInterval(
  value: number,
  tests: number,
  plants: number,
  spread: number,
  weight: number,
  isBound: boolean,
): Estimate {
  if (plants < 2 || weight === 0) return { value, tests, plants, isBound }
  const standardError = (Math.sqrt(plants / (plants - 1)) * spread) / weight
  return { value, tests, plants, halfWidth: coverageFactor95(plants - 1) * standardError, isBound }
}

/**
 * Mean over tests, with an interval over plants: P/(P−1) · Σ over plants of (sum of the plant − its tests · mean)², as for
 * clusters of unequal size (Cochran, Sampling Techniques, 3rd ed. 1977, chapter 9A; from memory).
 */
export function meanOf(parts: readonly Part[], slots: MeasureSlots): Estimate | undefined {
  const n = totalBig(parts, slots.tests)
  if (n === 0n) return undefined
  const t = totalBig(parts, slots.sum)
  const squares = parts.map(({ sums }) => {
    const of = (slot: Slot): bigint => readBig(sums, slot)
    const a = of(slots.squares) + of(slots.crossSquares)
    const b = of(slots.sum) + of(slots.crossSums)
    const c = of(slots.tests) + of(slots.crossTests)
    return n * n * a - 2n * t * n * b + t * t * c
  })
  const tests = Number(n)
  return withInterval(
    Number(t) / tests,
    tests,
    most(parts, slots.plants),
    rootOfSquares(squares, n),
    tests,
    parts.length > 1,
  )
}

/** Ratio of sums, with the linearised (Taylor) variance over plants (Cochran 1977, section 6.4; from memory). */
export function ratioOf(parts: readonly Part[], slots: RatioSlots): Estimate | undefined {
  const w = totalBig(parts, slots.w)
  if (w === 0n) return undefined
  const y = totalBig(parts, slots.y)
  const squares = parts.map(({ sums }) => {
    const of = (slot: Slot): bigint => readBig(sums, slot)
    return w * w * of(slots.yy) - 2n * y * w * of(slots.yw) + y * y * of(slots.ww)
  })
  return withInterval(
    Number(y) / Number(w),
    total(parts, slots.tests),
    most(parts, slots.plants),
    rootOfSquares(squares, w),
    Number(w),
    parts.length > 1,
  )
}

export interface Percentile {
  readonly value: number
  /** Absent where so few plants don't bound it on that side. */
  readonly low?: number
  readonly high?: number
}

/**
 * The value with a share `p` below it, between order statistics as SQL's `percentile_cont` has it, each within half a
 * percent; with the interval that order statistics give whatever the distribution, opened to the edges of their bins. Its
 * ranks are those of as many independent values as there are plants.
 */
export function percentileOf(counts: Counts, p: number, plants: number): Percentile | undefined {
  const n = counts.total
  if (n === 0) return undefined
  const rank = p * (n - 1) + 1
  const lower = middleOf(counts.binAt(Math.floor(rank)))
  const upper = middleOf(counts.binAt(Math.ceil(rank)))
  const value = lower + (rank - Math.floor(rank)) * (upper - lower)
  const independent = Math.max(1, Math.min(plants, n))
  const [from, to] = ranksOf(independent, p)
  const scaled = n / independent
  return {
    value,
    ...(from !== undefined && { low: lowestOf(counts.binAt(Math.max(1, Math.floor(from * scaled)))) }),
    ...(to !== undefined && { high: highestOf(counts.binAt(Math.min(n, Math.ceil(to * scaled)))) }),
  }
}

/** Few numbers of plants come again and again. */
const knownRanks = new LRUCache<string, ReturnType<typeof orderStatistics>>({ max: 5_000 })

function ranksOf(n: number, p: number): ReturnType<typeof orderStatistics> {
  const name = `${n} ${p}`
  const ranks = knownRanks.get(name) ?? orderStatistics(n, p)
  knownRanks.set(name, ranks)
  return ranks
}

const TAIL = 0.025
const EXACT_MAX = 2_000

/**
 * Ranks between which the percentile lies with at least 95 %: a binomial count says how many values are below it (David
 * and Nagaraja, Order Statistics, 3rd ed. 2003, section 7.1; from memory). Undefined where no rank is far enough out.
 */
export function orderStatistics(n: number, p: number): [from: number | undefined, to: number | undefined] {
  if (n > EXACT_MAX) {
    const reach = 1.959963984540054 * Math.sqrt(n * p * (1 - p)) + 1
    return [Math.floor(n * p - reach), Math.ceil(n * p + reach) + 1]
  }
  // Probability of k below, from k = 0 on.
  let probability = (1 - p) ** n
  let logs = n * Math.log1p(-p)
  let below = 0
  let from: number | undefined
  let to: number | undefined
  for (let k = 0; k <= n; k++) {
    // P(count < k) may be at most the tail for rank k to be a lower end; P(count ≥ k) for an upper one.
    if (k >= 1 && below <= TAIL) from = k
    if (to === undefined && k >= 1 && 1 - below <= TAIL) to = k
    below += probability
    logs += Math.log((n - k) / (k + 1)) + Math.log(p / (1 - p))
    probability = k < n ? Math.exp(logs) : 0
  }
  return [from, to]
}
