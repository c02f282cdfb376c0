/**
 * Combined and expanded uncertainty of a quantity after the Guide to the expression of uncertainty in
 * measurement (JCGM 100:2008): 5.1.2 for the combination, G.4 for the effective degrees of freedom.
 */
import type { Graph, Node } from './graph.ts'
import { coverageFactor95 } from './student-t.ts'

// A class rather than an object literal: where one literal's members are sometimes whole numbers and mostly not, V8
// 13.6 compiled `combine` anew at nearly every use, for half of the time of an evaluation in a service that runs.
export class Uncertainty {
  /** Combined standard uncertainty, in the SI unit of the quantity. */
  readonly standard: number
  /** Half-width of the 95 % interval. */
  readonly expanded: number
  readonly coverageFactor: number
  /** Effective degrees of freedom, truncated; Infinity when unlimited. */
  readonly degreesOfFreedom: number

  constructor(standard: number, coverageFactor: number, degreesOfFreedom: number) {
    this.standard = standard
    this.expanded = coverageFactor * standard
    this.coverageFactor = coverageFactor
    this.degreesOfFreedom = degreesOfFreedom
  }
}

/** Half-width of a rectangular distribution → standard uncertainty (JCGM 100:2008, 4.3.7). */
export const rectangular = (halfWidth: number): number => halfWidth / Math.sqrt(3)

/** Smallest step shown → standard uncertainty (JCGM 100:2008, F.2.2.1). */
export const resolution = (step: number): number => step / Math.sqrt(12)

/** Half-width of a 95 % normal interval → standard uncertainty (JCGM 100:2008, 4.3.4 and table G.1). */
export const interval95 = (halfWidth: number): number => halfWidth / 1.959963984540054

/** Sample standard deviation of repeats; NaN for fewer than two. */
export function sampleDeviation(values: readonly number[]): number {
  const n = values.length
  let mean = 0
  for (const value of values) mean += value / n
  let sum = 0
  for (const value of values) sum += (value - mean) * (value - mean)
  return Math.sqrt(sum / (n - 1))
}

/** As many degrees of freedom as this make the factor of the normal distribution, to six digits. */
const UNLIMITED = 1e6

/** Combines component contributions c·u, given the sensitivities c of a quantity. */
export function combine(graph: Graph, componentSensitivity: Float64Array): Uncertainty {
  const { componentU, componentDof } = graph
  const count = graph.components.length
  let variance = 0
  let welch = 0
  for (let i = 0; i < count; i++) {
    const contribution = componentSensitivity[i]! * componentU[i]!
    const square = contribution * contribution
    variance += square
    welch += (square * square) / componentDof[i]!
  }
  const standard = Math.sqrt(variance)
  // Cut to a whole number (G.4.1); a whole number that rounding left a hair short stays itself.
  const effective = ((variance * variance) / welch) * (1 + 1e-12)
  const degreesOfFreedom = effective < UNLIMITED ? Math.max(1, Math.floor(effective)) : Infinity
  return new Uncertainty(standard, coverageFactor95(degreesOfFreedom), degreesOfFreedom)
}

/** Uncertainty of one quantity: one backward sweep and one sum. */
export function uncertaintyOf(graph: Graph, target: Node): Uncertainty {
  return combine(graph, graph.componentSensitivities(target))
}
