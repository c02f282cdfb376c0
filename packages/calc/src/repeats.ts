/**
 * A quantity read several times while it stands still: its mean, and its random error.
 * The scatter of the repeats replaces the step of the scale where it is the larger: it is the same cause, so the two
 * never add up. The step is one error for all repeats and does not average out.
 */
import type { ContextInstrument } from './context.ts'
import type { ComponentKind, Graph, LeafKind, Node } from './graph.ts'
import type { Reading } from './readings.ts'
import { type AnyEdition, type DefaultName, defaultKind, type Instruments, stepOf } from './surroundings.ts'
import { resolution, sampleDeviation } from './uncertainty.ts'
import { type Dimension, siUnit, toSi } from './units.ts'

/** What is read, and how its mean is formed. */
export interface Repeated {
  readonly leaf: LeafKind
  readonly scatter: ComponentKind
  readonly mean: (graph: Graph, nodes: readonly Node[]) => Node
}

/** Cause of uncertainty in the scatter of repeats. */
export const scatterKind = (id: string, label: string, dimension: Dimension): ComponentKind => ({
  id,
  label,
  action: 'repeat',
  source: { document: 'JCGM 100:2008', place: '4.2.3, standard deviation of the mean', basis: 'from memory' },
  unit: siUnit(dimension),
})

/** Random error of one reading at the mean: standard uncertainty of a cause, and what one of it does to the value. */
export interface Step {
  readonly kind: ComponentKind
  readonly u: number
  readonly coefficient: number
}

/** The step of an instrument on record, or a default that is a share of what was read. */
export function stepAt(
  value: number,
  instrument: ContextInstrument | undefined,
  dimension: Dimension,
  standIn: DefaultName,
  around: { readonly edition: AnyEdition; readonly instruments: Instruments },
): Step {
  const { edition, instruments } = around
  const step = stepOf(instrument, dimension)
  if (step === undefined)
    return {
      kind: defaultKind(edition, standIn, 'repeat'),
      u: edition.defaults[standIn].u,
      coefficient: edition.defaults[standIn].siUnit === '1' ? Math.abs(value) : 1,
    }
  return {
    kind: instruments.kind(`${standIn}-on-record`, 'Step of the instrument', 'repeat', dimension),
    u: resolution(toSi(step, dimension)),
    coefficient: 1,
  }
}

/** The readings and their mean in SI, with its random error; `place` is that of the list. */
export function measureRepeats(
  readings: readonly Reading[],
  place: string,
  what: Repeated,
  step: (mean: number) => Step,
  graph: Graph,
): { readonly nodes: readonly Node[]; readonly mean: Node } {
  const nodes = readings.map((reading, i) => graph.leaf(what.leaf, `${place}/${i}`, reading))
  const mean = what.mean(graph, nodes)
  const n = nodes.length
  const { kind, u, coefficient } = step(graph.values[mean]!)
  const scatter = n < 2 ? 0 : sampleDeviation(nodes.map((leaf) => graph.values[leaf]!)) / Math.sqrt(n)
  if (scatter > u * coefficient)
    graph.act(graph.component({ kind: what.scatter, place, group: place, u: scatter, dof: n - 1 }), mean, 1)
  else graph.act(graph.component({ kind, place, group: place, u, dof: Infinity }), mean, coefficient)
  return { nodes, mean }
}

/** Largest less smallest of the readings, relative to their mean; undefined where that says nothing. */
export function spreadOf(readings: readonly Reading[], dimension: Dimension): number | undefined {
  if (readings.length < 2) return undefined
  let smallest = Number.POSITIVE_INFINITY
  let largest = Number.NEGATIVE_INFINITY
  let sum = 0
  for (const reading of readings) {
    const value = toSi(reading, dimension)
    smallest = Math.min(smallest, value)
    largest = Math.max(largest, value)
    sum += value
  }
  const spread = ((largest - smallest) * readings.length) / Math.abs(sum)
  return Number.isFinite(spread) ? spread : undefined
}
