/**
 * Whether two sheets share readings that scatter by nature, as they stand or moved by one constant or one factor.
 *
 * Each shared reading counts the order of magnitude of the odds against chance (`surpriseOf`); a run of them counts
 * the sum. So a long run of coarse readings and a short one of fine readings are judged alike. Source: our judgement.
 */
import { type NoisyReading, noisyReadings, surpriseOf } from './noisy-readings.ts'
import type { Sheet } from './sheet.ts'

/** Shorter runs that differ by a constant turn up by chance. */
export const LEAST_SHIFTED = 8
/**
 * Readings of one sheet that are compared: the first so many. A sheet of many runs has about a hundred; comparing takes
 * time by the product of both, and a sheet made to take long must not hold up all others.
 */
export const COMPARED_MAX = 200

/** The readings of a sheet by which it is compared with others. */
export const comparedReadings = (sheet: Pick<Sheet, 'standingLevel' | 'runs'>): NoisyReading[] =>
  noisyReadings(sheet).slice(0, COMPARED_MAX)

/** Successive readings under one fingerprint. */
export const WINDOW = 8

/** A run of successive readings that two sheets share. Places are indices into their readings. */
export interface SharedRun {
  readonly count: number
  readonly surprise: number
  readonly from: number
  readonly fromOther: number
  /** What was added to the other’s readings, or what they were multiplied by; absent if they are equal. */
  readonly moved?: { readonly by: 'constant' | 'factor'; readonly value: number }
}

const alike = (a: NoisyReading, b: NoisyReading): boolean => a.kind === b.kind && a.unit === b.unit

/** A level that stands still says nothing anew with each reading. */
export function standsStill(readings: readonly NoisyReading[], i: number): boolean {
  const now = readings[i]!
  const before = readings[i - 1]
  return now.kind === 'level' && before !== undefined && before.group === now.group && before.value === now.value
}

/** Calls `walk` with each pair of starts of a diagonal: two sequences laid over each other in every way. */
function alongDiagonals(n: number, m: number, walk: (from: number, fromOther: number, length: number) => void): void {
  for (let offset = 1 - n; offset < m; offset++) {
    const from = Math.max(0, -offset)
    const fromOther = Math.max(0, offset)
    walk(from, fromOther, Math.min(n - from, m - fromOther))
  }
}

/** The most surprising run of equal readings; undefined for none. */
export function equalRun(own: readonly NoisyReading[], other: readonly NoisyReading[]): SharedRun | undefined {
  let best: SharedRun | undefined
  alongDiagonals(own.length, other.length, (from, fromOther, length) => {
    let count = 0
    let surprise = 0
    for (let i = 0; i < length; i++) {
      const a = own[from + i]!
      const b = other[fromOther + i]!
      if (!alike(a, b) || a.value !== b.value) {
        count = 0
        surprise = 0
        continue
      }
      count += 1
      if (count === 1 || !standsStill(own, from + i)) surprise += Math.min(surpriseOf(a), surpriseOf(b))
      if (surprise > (best?.surprise ?? 0))
        best = { count, surprise, from: from + i + 1 - count, fromOther: fromOther + i + 1 - count }
    }
  })
  return best
}

/** Decimal difference without the rounding of binary fractions. */
const difference = (a: number, b: number): number => Math.round((a - b) * 1e9) / 1e9

/** What a run that was moved keeps while it grows: its constant, or the factors that still explain all its readings. */
interface Move {
  /** Whether the pair goes on in the run; `first` starts it. */
  admits(a: NoisyReading, b: NoisyReading, first: boolean): boolean
  value(): number
}

function byConstant(): Move {
  let constant = 0
  return {
    admits(a, b, first) {
      const now = difference(a.value, b.value)
      if (first) constant = now
      return now !== 0 && now === constant
    },
    value: () => constant,
  }
}

/** A factor explains a pair if the product, rounded to the step of the reading, is what was written. */
function byFactor(): Move {
  let low = 0
  let high = 0
  return {
    admits(a, b, first) {
      if (a.value <= 0 || b.value <= 0) return false
      const least = (a.value - a.step / 2) / b.value
      const most = (a.value + a.step / 2) / b.value
      low = first ? least : Math.max(low, least)
      high = first ? most : Math.min(high, most)
      return low <= high
    },
    value: () => (low + high) / 2,
  }
}

/**
 * The most surprising run of one group that is another sheet’s moved by one constant or one factor other than 0 and 1;
 * undefined for none of at least `LEAST_SHIFTED` readings that are not all equal. The first reading is used up by the
 * move and does not count.
 */
export function movedRun(own: readonly NoisyReading[], other: readonly NoisyReading[]): SharedRun | undefined {
  let best: SharedRun | undefined
  for (const [by, moveOf] of [['constant', byConstant] as const, ['factor', byFactor] as const]) {
    alongDiagonals(own.length, other.length, (from, fromOther, length) => {
      let start = 0
      while (start + LEAST_SHIFTED <= length) {
        const move = moveOf()
        const value = (i: number) => own[from + i]!.value
        let surprise = 0
        let differing = false
        let equal = 0
        let end = start
        let moved = 0
        for (; end < length; end++) {
          const a = own[from + end]!
          const b = other[fromOther + end]!
          const first = end === start
          const onward = first || (a.group === own[from + start]!.group && b.group === other[fromOther + start]!.group)
          if (!alike(a, b) || !onward || !move.admits(a, b, first)) break
          moved = move.value()
          if (a.value === b.value) equal += 1
          if (first) continue
          surprise += Math.min(surpriseOf(a), surpriseOf(b))
          differing ||= a.value !== value(start)
        }
        const count = end - start
        // Readings that are mostly equal are no moved ones: that is the other comparison.
        if (count >= LEAST_SHIFTED && differing && equal * 2 < count && surprise > (best?.surprise ?? 0))
          best = { count, surprise, from: from + start, fromOther: fromOther + start, moved: { by, value: moved } }
        start = Math.max(start + 1, end)
      }
    })
  }
  return best
}

/** Share of the readings of the shorter sheet that stand equal at the same place of the longer; 0 for none. */
export function shareAtSamePlace(own: readonly NoisyReading[], other: readonly NoisyReading[]): number {
  const length = Math.min(own.length, other.length)
  let equal = 0
  for (let i = 0; i < length; i++) if (alike(own[i]!, other[i]!) && own[i]!.value === other[i]!.value) equal += 1
  return length === 0 ? 0 : equal / length
}

/**
 * Texts of all windows of successive readings, to be hashed for an index: two sheets that share a run of `WINDOW`
 * equal readings share a text, as do two whose readings of one group differ by one constant. Factors leave no such
 * mark: those are found only between sheets that are compared for another reason.
 */
export function windowTexts(readings: readonly NoisyReading[]): string[] {
  const texts: string[] = []
  for (let end = WINDOW; end <= readings.length; end++) {
    const window = readings.slice(end - WINDOW, end)
    texts.push(`equal ${window.map(({ kind, unit, value }) => `${kind} ${value} ${unit}`).join('|')}`)
    const [first] = window as [NoisyReading, ...NoisyReading[]]
    const oneGroup = window.every(({ group, unit }) => group === first.group && unit === first.unit)
    if (!oneGroup || window.every(({ value }) => value === first.value)) continue
    const steps = window.slice(1).map(({ value }, i) => difference(value, window[i]!.value))
    texts.push(`moved ${first.kind} ${first.unit} ${steps.join('|')}`)
  }
  return texts
}
