/** A way to read a water level. */
import type { Static, TObject } from 'typebox'
import type { CautionId } from '../cautions.ts'
import type { AnyFormula, Source } from '../formula.ts'
import type { Graph, Node } from '../graph.ts'
import type { AnyEdition, Instruments } from '../surroundings.ts'

export interface LevelSurroundings {
  readonly graph: Graph
  readonly edition: AnyEdition
  readonly instruments: Instruments
  /** JSON Pointer of the reading. */
  readonly place: string
  /** Code of the instrument named for levels. */
  readonly instrument: string | undefined
  /** Density of the water, for methods that read a pressure. */
  readonly density: Node
}

export interface LevelMeasured {
  /** Depth of the water below the level datum, in m. */
  readonly level: Node
  /** How fast it falls, in m/s, where a series was read. */
  readonly trend: Node | undefined
}

interface LevelMethod<S extends TObject = TObject> {
  readonly id: string
  readonly title: string
  readonly schema: S
  readonly formulas: readonly AnyFormula[]
  readonly source: Source
  /** Ids of the cautions that belong beside the method. */
  readonly cautions: readonly CautionId[]
  readonly measure: (readings: Static<S>, around: LevelSurroundings) => LevelMeasured
}

export const defineLevelMethod = <const S extends TObject>(method: LevelMethod<S>): LevelMethod<S> => method
