/**
 * Runs at several speeds, brought to one by the affinity laws: flow goes with speed, head with its square
 * (ISO 9906:2012, conversion to the specified speed; from memory). One pump has one curve at one speed.
 */
import type { Facts } from './facts.ts'
import { exceeds } from './finding.ts'

/** A run brought to the speed of the fastest one. */
interface Point {
  readonly run: number
  readonly flow: number
  readonly head: number
  /** Its own speed relative to the fastest. */
  readonly speedRatio: number
}

function brought(runs: readonly Facts[]): Point[] {
  const fastest = Math.max(...runs.map(({ speed }) => speed ?? 0))
  return runs.flatMap(({ flow, totalDynamicHead, speed }, run) => {
    if (flow === undefined || totalDynamicHead === undefined || speed === undefined) return []
    if (!(flow > 0 && totalDynamicHead > 0 && speed > 0)) return []
    const speedRatio = speed / fastest
    return [{ run, flow: flow / speedRatio, head: totalDynamicHead / (speedRatio * speedRatio), speedRatio }]
  })
}

/**
 * How far the head of a point is from the falling curve through its neighbours in flow, relative. Between two it is
 * held against the straight line; beyond the last, it may only not be on the wrong side of it.
 */
function residual(point: Point, below: Point | undefined, above: Point | undefined): number {
  if (below !== undefined && above !== undefined && above.flow === below.flow) {
    return Math.abs((2 * point.head) / (below.head + above.head) - 1)
  }
  if (below !== undefined && above !== undefined) {
    const share = (point.flow - below.flow) / (above.flow - below.flow)
    return Math.abs(point.head / (below.head + share * (above.head - below.head)) - 1)
  }
  if (above !== undefined) return Math.max(0, above.head / point.head - 1)
  return below === undefined ? 0 : Math.max(0, point.head / below.head - 1)
}

/**
 * The run that is farthest from the curve through the others. Runs at one speed are compared as they are; here only
 * those count that have a neighbour at another speed.
 */
export function farthestByAffinity(
  runs: readonly Facts[],
  sameSpeed: number,
): { run: number; residual: number; speedRatio: number } | undefined {
  const points = brought(runs).sort((a, b) => a.flow - b.flow)
  let farthest: { run: number; residual: number; speedRatio: number } | undefined
  points.forEach((point, i) => {
    const [below, above] = [points[i - 1], points[i + 1]]
    const otherSpeed = [below, above].some(
      (one) => one !== undefined && exceeds(Math.abs(one.speedRatio - point.speedRatio), sameSpeed),
    )
    if (!otherSpeed) return
    const found = { run: point.run, residual: residual(point, below, above), speedRatio: point.speedRatio }
    if (farthest === undefined || found.residual > farthest.residual) farthest = found
  })
  return farthest
}
