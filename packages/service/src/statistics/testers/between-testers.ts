/** How much testers differ among themselves beyond what chance explains, and the middle they differ around. */

export interface Mean {
  readonly value: number
  /** Its own standard error, from within. */
  readonly standardError: number
}

export interface Between {
  readonly centre: number
  /** Variance between testers; 0 where chance explains all. */
  readonly variance: number
  /** Weighted sum of squares about the fixed middle (Cochran’s Q). */
  readonly heterogeneity: number
}

const weighted = (values: readonly Mean[], weightOf: (mean: Mean) => number): { centre: number; weights: number } => {
  let [sum, weights] = [0, 0]
  for (const mean of values) {
    const weight = weightOf(mean)
    sum += weight * mean.value
    weights += weight
  }
  return { centre: sum / weights, weights }
}

/**
 * Variance between groups by moments (DerSimonian and Laird, Meta-analysis in clinical trials, Controlled Clinical Trials
 * 7 (1986) 177–188), and the middle weighted with it.
 *
 * @throws RangeError without a value, or where a standard error is not above 0
 */
export function dersimonianLaird(values: readonly Mean[]): Between {
  if (values.length === 0) throw new RangeError('There is no mean to compare.')
  if (values.some(({ standardError }) => !(standardError > 0)))
    throw new RangeError('Each mean needs a standard error above 0.')
  const weightOf = ({ standardError }: Mean): number => 1 / standardError ** 2
  const { centre, weights } = weighted(values, weightOf)
  const heterogeneity = values.reduce((sum, mean) => sum + weightOf(mean) * (mean.value - centre) ** 2, 0)
  const squares = values.reduce((sum, mean) => sum + weightOf(mean) ** 2, 0)
  const scale = weights - squares / weights
  const variance = scale > 0 ? Math.max(0, (heterogeneity - (values.length - 1)) / scale) : 0
  return { centre: centreWith(values, variance), variance, heterogeneity }
}

const centreWith = (values: readonly Mean[], variance: number): number =>
  weighted(values, ({ standardError }) => 1 / (standardError ** 2 + variance)).centre

/** Half of the squares of standard normal values lie below this: the square of the normal quantile of 75 %. */
const MEDIAN_OF_SQUARES = 0.454936423119572

const median = (values: readonly number[]): number => {
  const sorted = values.toSorted((a, b) => a - b)
  const half = sorted.length / 2
  return Number.isInteger(half) ? (sorted[half - 1]! + sorted[half]!) / 2 : sorted[Math.floor(half)]!
}

/** The variance with which half of the testers lie where half of normal values would: a few that stand apart don’t move it. */
function fromTheMiddle(values: readonly Mean[]): Between {
  const centre = median(values.map(({ value }) => value))
  const excess = (variance: number): number =>
    median(values.map(({ value, standardError }) => (value - centre) ** 2 / (standardError ** 2 + variance))) -
    MEDIAN_OF_SQUARES
  let [low, high] = [0, Math.max(...values.map(({ value }) => (value - centre) ** 2)) / MEDIAN_OF_SQUARES]
  if (excess(0) <= 0) return { centre, variance: 0, heterogeneity: Number.NaN }
  for (let turn = 0; turn < 80; turn++) {
    const middle = (low + high) / 2
    if (excess(middle) > 0) low = middle
    else high = middle
  }
  return { centre, variance: (low + high) / 2, heterogeneity: Number.NaN }
}

export const scoreOf = ({ value, standardError }: Mean, { centre, variance }: Between): number =>
  (value - centre) / Math.sqrt(standardError ** 2 + variance)

const TURNS_MAX = 50

/**
 * The same for testers of whom a few may stand apart: these would widen the limits that they are held against. So the
 * first limits come from the middle half; then those beyond `apart` standard errors are left out, the variance is made
 * anew from the others, and so on until the same are left out twice. Leaving out what lies beyond 3.09 takes 2 % off the
 * variance of normal values.
 */
export function betweenTesters(values: readonly Mean[], apart: number): Between & { readonly leftOut: number } {
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
  const leftOut = values.filter((mean) => Math.abs(scoreOf(mean, between)) > apart).length
  return { ...between, leftOut }
}
