/** What to re-measure first: causes of uncertainty of overall plant efficiency, gathered by what would be done about them. */

import type { Advice } from './evaluation.ts'
import type { Action, Component, Graph, Node } from './graph.ts'
import type { Measured } from './measure.ts'
import { combine } from './uncertainty.ts'

/** Shares below this are not worth a line. */
const LEAST_SHARE = 0.0005

interface Cause {
  readonly group: string
  variance: number
  /** Label and action of the largest component of the group. */
  largest: number
  action: Action
  biggest: Component
}

/** Words for a group of several components. */
function labelOf(cause: Cause): string {
  if (cause.group.endsWith('/flow/diameters')) return 'Velocities of the traverse'
  if (cause.group.endsWith('/power/timings')) return 'Timings of the meter'
  return cause.biggest.kind.label
}

function causesOf(graph: Graph, sensitivity: Float64Array): { causes: Cause[]; variance: number } {
  const causes = new Map<string, Cause>()
  const { components } = graph
  let variance = 0
  for (let i = 0; i < components.length; i++) {
    const c = sensitivity[i]!
    if (c === 0) continue
    const component = components[i]!
    const contribution = c * component.u
    const square = contribution * contribution
    variance += square
    const cause = causes.get(component.group)
    if (cause === undefined)
      causes.set(component.group, {
        group: component.group,
        variance: square,
        largest: square,
        action: component.kind.action,
        biggest: component,
      })
    else {
      cause.variance += square
      if (square > cause.largest) {
        cause.largest = square
        cause.action = component.kind.action
        cause.biggest = component
      }
    }
  }
  return { causes: [...causes.values()], variance }
}

function efficiencyOf(measured: Measured, index: number): Node | undefined {
  return measured.runs[index]!.quantities.get('overall-plant-efficiency')
}

/** Largest share of variance of overall plant efficiency held by one cause; 0 where there is none. */
export function shareOfLargestReading(measured: Measured, index: number): number {
  const node = efficiencyOf(measured, index)
  if (node === undefined) return 0
  const { graph } = measured.visit
  const { causes, variance } = causesOf(graph, graph.componentSensitivities(graph.sensitivities(node)))
  let largest = 0
  for (const cause of causes) largest = Math.max(largest, cause.variance)
  return variance === 0 ? 0 : largest / variance
}

/** Causes by share, largest first, each with what halving it would do to the uncertainty of overall plant efficiency. */
export function adviseRun(measured: Measured, index: number): Advice[] {
  const node = efficiencyOf(measured, index)
  if (node === undefined) return []
  const { graph } = measured.visit
  const sensitivity = graph.componentSensitivities(graph.sensitivities(node))
  const { causes, variance } = causesOf(graph, sensitivity)
  if (variance === 0) return []
  const { expanded } = combine(graph, sensitivity)
  const now = expanded / Math.abs(graph.values[node]!)
  return causes
    .filter((cause) => cause.variance / variance >= LEAST_SHARE)
    .sort((a, b) => b.variance - a.variance)
    .map((cause) => {
      const share = cause.variance / variance
      return {
        run: index,
        place: cause.group,
        label: labelOf(cause),
        shareOfVariance: share,
        action: cause.action,
        relativeUncertaintyNow: now,
        relativeUncertaintyIfHalved: now * Math.sqrt(1 - 0.75 * share),
      }
    })
}
