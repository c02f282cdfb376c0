/**
 * The slope that the same plants have in common, each about a level of its own: least squares with a constant for each plant,
 * so that who comes to be measured when does not look like a change. The interval is over plants: values of one plant don't
 * count as independent (K.-Y. Liang and S. L. Zeger, Biometrika 73, 13, 1986; M. Arellano, Oxford Bulletin of Economics and
 * Statistics 49, 431, 1987; both from memory).
 */
import { coverageFactor95 } from '@liftledger/calc'

export interface PanelPoint {
  readonly x: number
  readonly y: number
}

export interface PanelSlope {
  readonly slope: number
  /** Plants with values at more than one x: the others say nothing of a change. */
  readonly plants: number
  /** Ends of the two-sided 95 % interval; absent with fewer than two plants. */
  readonly low?: number
  readonly high?: number
}

/** Undefined where no plant has values at two x. */
export function panelSlope(plants: readonly (readonly PanelPoint[])[]): PanelSlope | undefined {
  const sums = plants.map(aboutOwnMean).filter(({ xx }) => xx > 0)
  const spread = sums.reduce((sum, { xx }) => sum + xx, 0)
  if (!(spread > 0)) return undefined
  const slope = sums.reduce((sum, { xy }) => sum + xy, 0) / spread
  const n = sums.length
  if (n < 2) return { slope, plants: n }
  const squares = sums.reduce((sum, { xx, xy }) => sum + (xy - slope * xx) ** 2, 0)
  const half = (coverageFactor95(n - 1) * Math.sqrt((n / (n - 1)) * squares)) / spread
  return { slope, plants: n, low: slope - half, high: slope + half }
}

function aboutOwnMean(points: readonly PanelPoint[]): { readonly xx: number; readonly xy: number } {
  const meanOf = (of: (point: PanelPoint) => number): number =>
    points.reduce((sum, point) => sum + of(point), 0) / points.length
  const [x, y] = [meanOf((point) => point.x), meanOf((point) => point.y)]
  return {
    xx: points.reduce((sum, point) => sum + (point.x - x) ** 2, 0),
    xy: points.reduce((sum, point) => sum + (point.x - x) * (point.y - y), 0),
  }
}
