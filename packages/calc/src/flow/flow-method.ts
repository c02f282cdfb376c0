/** A way to measure flow. */
import type { Static, TObject } from 'typebox'
import type { CautionId } from '../cautions.ts'
import type { Facts } from '../findings/facts.ts'
import type { AnyFormula, Source } from '../formula.ts'
import type { Node } from '../graph.ts'
import type { Surroundings } from '../surroundings.ts'

/** What a flow is read for: to be the flow of the run, to be compared with it, or to find the error of the grower’s meter. */
export type FlowRole = 'tested' | 'comparison' | 'growers-meter'

/** A flow of a run that is judged by itself: one of several pipes, or one that is compared with the tested flow. */
export interface FlowPart {
  /** JSON Pointer of its readings. */
  readonly place: string
  readonly role: FlowRole
  readonly facts: Facts
}

export interface FlowSurroundings extends Surroundings {
  /** Code of the instrument named for flow. */
  readonly instrument: string | undefined
  readonly role: FlowRole
  /**
   * What instruments without a name share: within the tested flow they count as one, so that their errors add up; what
   * it is compared with was read by another instrument.
   */
  readonly unnamed: string
  /** Takes the parts that are judged by themselves. */
  readonly parts: FlowPart[]
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
