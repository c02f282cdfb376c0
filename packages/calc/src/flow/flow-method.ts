/** A way to measure flow. */
import type { Static, TObject } from 'typebox'
import type { CautionId } from '../cautions.ts'
import type { AnyFormula, Source } from '../formula.ts'
import type { Node } from '../graph.ts'
import type { Surroundings } from '../surroundings.ts'

export interface FlowSurroundings extends Surroundings {
  /** Code of the instrument named for flow. */
  readonly instrument: string | undefined
}

export interface FlowMeasured {
  /** Flow in m³/s; absent if what was read does not allow it. */
  readonly flow: Node | undefined
  /** Area of the pipe where flow was measured, in m². */
  readonly area: Node | undefined
}

interface FlowMethod<S extends TObject = TObject> {
  readonly id: string
  readonly title: string
  readonly schema: S
  readonly formulas: readonly AnyFormula[]
  readonly source: Source
  readonly cautions: readonly CautionId[]
  readonly measure: (readings: Static<S>, place: string, around: FlowSurroundings) => FlowMeasured
}

export const defineFlowMethod = <const S extends TObject>(method: FlowMethod<S>): FlowMethod<S> => method
