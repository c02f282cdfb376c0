/**
 * Bins of whole numbers, each at most one percent wide: the middle of a bin is within half a percent of all that falls in
 * it. Edges are made by multiplying and rounding down, so that every engine has the same ones.
 */
import { SPAN } from './measures.ts'

/** How far the value told for a percentile can be from the value it stands for, as a ratio of that. */
export const PERCENTILE_BOUND = 0.005
const WIDTH = 1 + 2 * PERCENTILE_BOUND

/** Lower edges; bin n holds what is at least edge n and below edge n + 1. */
export const EDGES: readonly number[] = makeEdges()

function makeEdges(): number[] {
  const edges: number[] = []
  for (let edge = 0; edge <= SPAN; edge = Math.max(edge + 1, Math.floor(edge * WIDTH))) edges.push(edge)
  edges.push(Math.floor(edges.at(-1)! * WIDTH))
  return edges
}

/** Bin of a whole number from 0 and below the span. */
export function binOf(steps: number): number {
  let low = 0
  let high = EDGES.length - 1
  while (high - low > 1) {
    const middle = (low + high) >> 1
    if (EDGES[middle]! <= steps) low = middle
    else high = middle
  }
  return low
}

/** Middle of what can fall in the bin. */
export const middleOf = (bin: number): number => (EDGES[bin]! + EDGES[bin + 1]! - 1) / 2
export const lowestOf = (bin: number): number => EDGES[bin]!
export const highestOf = (bin: number): number => EDGES[bin + 1]! - 1
