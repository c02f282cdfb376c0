/** What to re-measure first: causes of uncertainty of overall plant efficiency, gathered by what would be done about them. */

import type { Advice } from './evaluation.ts'
import type { Component, Graph } from './graph.ts'
import type { Visit } from './visit.ts'

/** Kinds of components that stand for readings in an open panel. */
const PANEL_READING = 'panel-'

interface Cause {
  readonly group: string
  variance: number
  largest: number
  /** The component that gives the group its name and its action. */
  biggest: Component
}

/** Words for a group of several components. */
function labelOf(cause: Cause): string {
  if (cause.group.endsWith('/rates') || cause.group.endsWith('/velocities')) return 'Rates or velocities of the meter'
  if (cause.group.endsWith('/flow/diameters')) return 'Velocities of the traverse'
  if (cause.group.endsWith('/power/timings')) return 'Timings of the meter'
  return cause.biggest.kind.label
}

function causesOf(graph: Graph, sensitivity: Float64Array): { causes: Cause[]; variance: number } {
  const causes: Cause[] = []
  const { components } = graph
  let cause: Cause | undefined
  let variance = 0
  for (let i = 0; i < components.length; i++) {
    const c = sensitivity[i]!
    if (c === 0) continue
    const component = components[i]!
    const contribution = c * component.u
    const square = contribution * contribution
    variance += square
    // Components of one group mostly follow one another, and one run has a dozen groups: no map is faster.
    const { group } = component
    if (cause === undefined || cause.group !== group) cause = causes.find((known) => known.group === group)
    if (cause === undefined) {
      cause = { group, variance: 0, largest: -1, biggest: component }
      causes.push(cause)
    }
    cause.variance += square
    if (square > cause.largest) {
      cause.largest = square
      cause.biggest = component
    }
  }
  return { causes, variance }
}

/**
 * Causes by share, largest first, each with what halving it would do to the uncertainty of overall plant efficiency.
 * `now` is its expanded uncertainty relative to its value, `sensitivity` that of it to each component.
 */
export function adviseRun(run: number, { graph, edition }: Visit, sensitivity: Float64Array, now: number): Advice[] {
  // Nothing relative can be said of an efficiency of zero.
  if (!Number.isFinite(now)) return []
  const { causes, variance } = causesOf(graph, sensitivity)
  if (variance === 0) return []
  return causes
    .filter((cause) => cause.variance / variance >= edition.settings.leastShareOfAdvice)
    .sort((a, b) => b.variance - a.variance)
    .map((cause) => {
      // Both sums are rounded: of a cause that stands alone, the share may come out a hair above one.
      const share = Math.min(1, cause.variance / variance)
      const advice: Advice = {
        run,
        place: cause.group,
        label: labelOf(cause),
        shareOfVariance: share,
        action: cause.biggest.kind.action,
        relativeUncertaintyNow: now,
        relativeUncertaintyIfHalved: now * Math.sqrt(1 - 0.75 * share),
      }
      if (cause.biggest.kind.id.startsWith(PANEL_READING)) {
        advice.needsQualifiedStaff = true
        advice.offerFirst = 'time-utility-meter'
      }
      return advice
    })
}
