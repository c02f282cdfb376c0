/** A way to read input power. */
import type { Static, TObject } from 'typebox'
import type { AnyFormula, Source } from '../formula.ts'
import type { Node } from '../graph.ts'
import type { Surroundings } from '../surroundings.ts'

export interface PowerMeasured {
  /** Input power in W; absent if what was read does not allow it. */
  readonly power: Node | undefined
  readonly spread: Node | undefined
}

export interface PowerMethod<S extends TObject = TObject> {
  readonly id: string
  readonly title: string
  readonly schema: S
  readonly formulas: readonly AnyFormula[]
  readonly source: Source
  readonly cautions: readonly string[]
  readonly measure: (readings: Static<S>, place: string, around: Surroundings) => PowerMeasured
}

export const definePowerMethod = <const S extends TObject>(method: PowerMethod<S>): PowerMethod<S> => method
