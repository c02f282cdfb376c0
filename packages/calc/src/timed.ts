/** Quantities that were each timed with a watch, and their mean: timings of a meter, fillings of a tank. */
import type { ComponentKind, Node } from './graph.ts'
import { defaultKind, type Surroundings } from './surroundings.ts'
import { sampleDeviation } from './uncertainty.ts'

interface Timed {
  /** What each timing gave, and the time it took. */
  readonly values: readonly Node[]
  readonly elapsed: readonly Node[]
  /** JSON Pointer of the list, and of the time of one of it. */
  readonly group: string
  readonly placeOf: (index: number) => string
}

/**
 * Random error of the mean: reaction at start and stop of each timing; where the values scatter by more than that, their
 * scatter replaces it (never both: it is the same cause).
 */
export function actTimed(
  mean: Node,
  { values, elapsed, group, placeOf }: Timed,
  scatterKind: ComponentKind,
  around: Pick<Surroundings, 'graph' | 'edition'>,
): void {
  const { graph, edition } = around
  const n = values.length
  const reaction = edition.defaults['timing-reaction'].u
  const given = values.map((node) => graph.values[node]!)
  let reactionVariance = 0
  for (let i = 0; i < n; i++) {
    const ofValue = (given[i]! * reaction) / graph.values[elapsed[i]!]!
    reactionVariance += (ofValue * ofValue) / (n * n)
  }
  const scatter = n < 2 ? 0 : sampleDeviation(given) / Math.sqrt(n)
  if (scatter * scatter > reactionVariance) {
    graph.act(graph.component({ kind: scatterKind, place: group, group, u: scatter, dof: n - 1 }), mean, 1)
    return
  }
  const kind = defaultKind(edition, 'timing-reaction', 'repeat')
  for (let i = 0; i < n; i++)
    graph.act(graph.component({ kind, place: placeOf(i), group, u: reaction, dof: Infinity }), elapsed[i]!, 1)
}
