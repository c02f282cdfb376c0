/** How fast a level moves over a series: slope of the straight line through it. */
import { levelSlope } from '../formulas/level-slope.ts'
import type { ComponentKind, Node } from '../graph.ts'
import { secondsOf } from '../instants.ts'
import { leafKind } from '../surroundings.ts'
import type { LevelSurroundings } from './level-method.ts'

const TIME = leafKind('Time since the first level of the series', 'time')
const SCATTER: ComponentKind = {
  id: 'trend-scatter',
  label: 'Scatter of the series about its trend',
  action: 'repeat',
  source: { document: 'general statistics', place: 'standard error of a slope by least squares', basis: 'derived' },
  unit: 'm/s',
}
/** Fewer levels have no scatter about a line. */
const FEWEST = 3

/** One level of a series, as it was read. */
interface LevelOfSeries {
  readonly at: string | undefined
  readonly node: () => Node
}

/**
 * Slope in m/s, above zero while the water falls; undefined where fewer than three levels have a time, or all the same.
 *
 * @param u standard uncertainty of a single level, m: acts where the series scatters less
 */
export function measureTrend(
  series: readonly LevelOfSeries[],
  step: { readonly kind: ComponentKind; readonly u: number },
  around: LevelSurroundings,
): Node | undefined {
  const { graph, place } = around
  const timed = series.flatMap(({ at, node }) => (at === undefined ? [] : [{ at: secondsOf(at), node }]))
  const first = timed[0]
  if (first === undefined || timed.length < FEWEST || timed.every(({ at }) => at === first.at)) return undefined
  const seconds = timed.map(({ at }) => at - first.at)
  const levels = timed.map(({ node }) => node())
  const times = seconds.map((value, i) => graph.leaf(TIME, `${place}/series/${i}/at`, { value, unit: 's' }))
  const slope = graph.apply(levelSlope, { times, levels })

  const n = seconds.length
  const meanTime = seconds.reduce((sum, each) => sum + each, 0) / n
  const depths = levels.map((node) => graph.values[node]!)
  const meanDepth = depths.reduce((sum, each) => sum + each, 0) / n
  const spread = seconds.reduce((sum, each) => sum + (each - meanTime) * (each - meanTime), 0)
  const b = graph.values[slope]!
  const residual = depths.reduce((sum, depth, i) => {
    const off = depth - meanDepth - b * (seconds[i]! - meanTime)
    return sum + off * off
  }, 0)
  const scatter = Math.sqrt(residual / (n - 2) / spread)
  const group = `${place}/series`
  if (scatter > step.u / Math.sqrt(spread))
    graph.act(graph.component({ kind: SCATTER, place: group, group, u: scatter, dof: n - 2 }), slope, 1)
  else
    levels.forEach((node, i) => {
      graph.act(graph.component({ kind: step.kind, place: `${group}/${i}`, group, u: step.u, dof: Infinity }), node, 1)
    })
  return slope
}
