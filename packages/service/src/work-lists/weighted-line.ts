/**
 * A straight line through values of stated uncertainty, and how sure its slope is.
 *
 * Least squares weighted by 1/u² (Bevington and Robinson, Data Reduction and Error Analysis for the Physical Sciences,
 * 3rd ed. 2003, chapter 6; from memory). The slope's own uncertainty is that of the stated ones. Where the values scatter
 * more than those allow, it is enlarged by the Birge ratio, the root of χ² over its degrees of freedom (R. T. Birge,
 * Phys. Rev. 40, 207, 1932; from memory). What is known from so few values is itself uncertain, so that Student's t then
 * has the degrees of freedom of the scatter: without, the enlarged interval of a handful of values is too narrow (Bodnar
 * and Elster, Metrologia 51, 516, 2014; abstract looked up).
 */
import { coverageFactor95 } from '@liftledger/calc'

export interface LinePoint {
  readonly x: number
  readonly y: number
  /** Standard uncertainty of y, above nothing. */
  readonly u: number
}

export interface Line {
  readonly slope: number
  /** Standard uncertainty of the slope, enlarged where the scatter is larger than what was stated. */
  readonly u: number
  /** Scatter about the line over what was stated. */
  readonly birgeRatio: number
  readonly uncertaintyFrom: 'stated' | 'scatter'
  /** Ends of the two-sided 95 % interval of the slope. */
  readonly low: number
  readonly high: number
}

/** Undefined with fewer than three points, or where they all have one x: then nothing says how they scatter. */
export function weightedLine(points: readonly LinePoint[]): Line | undefined {
  const degreesOfFreedom = points.length - 2
  if (degreesOfFreedom < 1) return undefined
  const weighted = points.map(({ x, y, u }) => ({ x, y, w: 1 / (u * u) }))
  const sumOf = (of: (point: (typeof weighted)[number]) => number): number =>
    weighted.reduce((sum, point) => sum + point.w * of(point), 0)
  const weights = sumOf(() => 1)
  // From the middle, so that years counted from far away lose no digits.
  const [middle, mean] = [sumOf(({ x }) => x) / weights, sumOf(({ y }) => y) / weights]
  const spread = sumOf(({ x }) => (x - middle) ** 2)
  if (!(spread > 0)) return undefined
  const slope = sumOf(({ x, y }) => (x - middle) * (y - mean)) / spread
  const chiSquared = sumOf(({ x, y }) => (y - mean - slope * (x - middle)) ** 2)
  const birgeRatio = Math.sqrt(chiSquared / degreesOfFreedom)
  const isScattered = birgeRatio > 1
  const u = Math.sqrt(1 / spread) * (isScattered ? birgeRatio : 1)
  const half = u * coverageFactor95(isScattered ? degreesOfFreedom : Number.POSITIVE_INFINITY)
  return {
    slope,
    u,
    birgeRatio,
    uncertaintyFrom: isScattered ? 'scatter' : 'stated',
    low: slope - half,
    high: slope + half,
  }
}
