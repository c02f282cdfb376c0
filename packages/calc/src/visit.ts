/** A visit while it is evaluated: what all its runs share. */
import type { Context } from './context.ts'
import type { Water } from './density.ts'
import type { Graph, Node } from './graph.ts'
import type { LevelMeasured } from './level/level-method.ts'
import type { QuantityId } from './quantities.ts'
import type { Sheet } from './sheet.ts'
import type { AnyEdition, Instruments } from './surroundings.ts'

/** Quantities of one run: node by id. */
export type Quantities = Map<QuantityId, Node>

export interface Visit {
  readonly graph: Graph
  readonly sheet: Sheet
  readonly context: Context
  readonly edition: AnyEdition
  readonly instruments: Instruments
  /** Temperature and density of the water of each run. */
  readonly waters: readonly Water[]
  /** Standing water level and its trend, shared by all runs. */
  readonly standing: LevelMeasured | undefined
}
