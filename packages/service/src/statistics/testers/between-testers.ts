/** How much testers differ among themselves beyond what chance explains, and the middle they differ around. */

export interface Mean {
  readonly value: number
  /** Its own standard error, from within. */
  readonly standardError: number
  /**
   * What groups differ by, up to one factor for all: 1 where all differ alike. Of testers the uncertainty that their tests
   * state: an instrument that is good for 4 % may be further off than one that is good for 1 %, and no one is at fault.
   */
  readonly spread: number
}

export interface Between {
  readonly centre: number
  /** Variance between groups whose spread is 1; 0 where chance explains all. */
  readonly variance: number
  /** Weighted sum of squares about the fixed middle (Cochran’s Q). */
  readonly heterogeneity: number
}

const sumOver = (values: readonly Mean[], of: (mean: Mean) => number): number =>
  values.reduce((sum, mean) => sum + of(mean), 0)

const centreOf = (values: readonly Mean[], weightOf: (mean: Mean) => number): number =>
  sumOver(values, (mean) => weightOf(mean) * mean.value) / sumOver(values, weightOf)

const varianceOf = ({ standardError, spread }: Mean, variance: number): number =>
  standardError ** 2 + variance * spread ** 2

/**
 * Variance between groups by moments (DerSimonian and Laird, Meta-analysis in clinical trials, Controlled Clinical Trials
 * 7 (1986) 177–188), and the middle weighted with it. With spreads that differ the same moment is solved for their common
 * factor.
 *
 * @throws RangeError without a value, or where a standard error is not above 0
 */
export function dersimonianLaird(values: readonly Mean[]): Between {
  if (values.length === 0) throw new RangeError('There is no mean to compare.')
  if (values.some(({ standardError }) => !(standardError > 0)))
    throw new RangeError('Each mean needs a standard error above 0.')
  const weightOf = ({ standardError }: Mean): number => 1 / standardError ** 2
  const centre = centreOf(values, weightOf)
  const heterogeneity = sumOver(values, (mean) => weightOf(mean) * (mean.value - centre) ** 2)
  const weighted = (power: number): number => sumOver(values, (mean) => weightOf(mean) ** power * mean.spread ** 2)
  const scale = weighted(1) - weighted(2) / sumOver(values, weightOf)
  const variance = scale > 0 ? Math.max(0, (heterogeneity - (values.length - 1)) / scale) : 0
  return { centre: centreOf(values, (mean) => 1 / varianceOf(mean, variance)), variance, heterogeneity }
}

/** Half of the squares of standard normal values lie below this: the square of the normal quantile of 75 %. */
const MEDIAN_OF_SQUARES = 0.454936423119572

const median = (values: readonly number[]): number => {
  const sorted = values.toSorted((a, b) => a - b)
  const half = sorted.length / 2
  return Number.isInteger(half) ? (sorted[half - 1]! + sorted[half]!) / 2 : sorted[Math.floor(half)]!
}

const HALVINGS = 100

/** The variance with which half of the groups lie where half of normal values would: a few that stand apart don’t move it. */
function fromTheMiddle(values: readonly Mean[]): Between {
  const centre = median(values.map(({ value }) => value))
  const isTooNarrow = (variance: number): boolean =>
    median(values.map((mean) => (mean.value - centre) ** 2 / varianceOf(mean, variance))) > MEDIAN_OF_SQUARES
  const spreads = values.map(({ spread }) => spread ** 2).filter((square) => square > 0)
  let low = 0
  let high =
    spreads.length === 0
      ? 0
      : Math.max(...values.map(({ value }) => (value - centre) ** 2)) / Math.min(...spreads) / MEDIAN_OF_SQUARES
  if (!isTooNarrow(0)) high = 0
  for (let turn = 0; turn < HALVINGS; turn++) {
    const middle = (low + high) / 2
    if (isTooNarrow(middle)) low = middle
    else high = middle
  }
  return { centre, variance: (low + high) / 2, heterogeneity: Number.NaN }
}

/** Standard errors from the middle, the spread between groups included. */
export const scoreOf = (mean: Mean, { centre, variance }: Pick<Between, 'centre' | 'variance'>): number =>
  (mean.value - centre) / Math.sqrt(varianceOf(mean, variance))

const TURNS_MAX = 50

/**
 * The same for testers of whom a few may stand apart: these would widen the limits that they are held against. So the
 * first limits come from the middle half; then those beyond `apart` standard errors are left out, the variance is made
 * anew from the others, and so on until the same are left out twice. Leaving out what lies beyond 3.09 takes 2 % off the
 * variance of normal values.
 */
export function betweenTesters(values: readonly Mean[], apart: number): Between {
  let between = fromTheMiddle(values)
  let last = ''
  for (let turn = 0; turn < TURNS_MAX; turn++) {
    const inside = values.map((mean) => Math.abs(scoreOf(mean, between)) <= apart)
    const within = values.filter((_, n) => inside[n])
    // Fewer than half can’t be the rule for the others.
    if (within.length * 2 < values.length || within.length < 2) break
    between = dersimonianLaird(within)
    const now = inside.join()
    if (now === last) break
    last = now
  }
  return between
}
