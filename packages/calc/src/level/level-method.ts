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
}

interface LevelMethod<S extends TObject = TObject> {
  readonly id: string
  readonly title: string
  readonly schema: S
  readonly formulas: readonly AnyFormula[]
  readonly source: Source
  /** Ids of the cautions that belong beside the method. */
  readonly cautions: readonly CautionId[]
  /** Depth of the water below the level datum, in m. */
  readonly measure: (readings: Static<S>, around: LevelSurroundings) => Node
}

export const defineLevelMethod = <const S extends TObject>(method: LevelMethod<S>): LevelMethod<S> => method
