/** Random error of a level that was read several times. */
import type { ComponentKind, Node } from '../graph.ts'
import { sampleDeviation } from '../uncertainty.ts'
import type { LevelSurroundings } from './level-method.ts'

const REPEATS: ComponentKind = {
  id: 'level-repeats',
  label: 'Scatter of the level repeats',
  action: 'repeat',
  source: { document: 'JCGM 100:2008', place: '4.2.3, standard deviation of the mean', basis: 'from memory' },
  unit: 'm',
}

/** What a single reading is known to by its step. */
interface StepOfLevel {
  readonly kind: ComponentKind
  /** Size of the step, m. */
  readonly step: number
  /** Its standard uncertainty, m. */
  readonly u: number
}

/** Lets the scatter of the repeats act where it shows more than a step, else the step; `depths` are in m. */
export function actRandom(
  depths: readonly number[],
  { kind, step, u }: StepOfLevel,
  tape: Node,
  { graph, place }: LevelSurroundings,
): void {
  if (depths.length >= 2) {
    const scatter = sampleDeviation(depths) / Math.sqrt(depths.length)
    const beyondOneStep = Math.max(...depths) - Math.min(...depths) > step * (1 + 1e-9)
    if (beyondOneStep && scatter > u) {
      graph.act(
        graph.component({ kind: REPEATS, place: `${place}/repeats`, group: place, u: scatter, dof: depths.length - 1 }),
        tape,
        1,
      )
      return
    }
  }
  graph.act(graph.component({ kind, place: `${place}/reading`, group: place, u, dof: Infinity }), tape, 1)
}
