/** A way to read input power. */
import type { Static, TObject } from 'typebox'
import type { CautionId } from '../cautions.ts'
import type { AnyFormula, Source } from '../formula.ts'
import type { Node } from '../graph.ts'
import type { Surroundings } from '../surroundings.ts'
import type { ElectricalMeasured } from './electrical.ts'

export interface PowerMeasured {
  /** Input power in W; absent if what was read does not allow it. */
  readonly power: Node | undefined
  /** Spread of repeated powers. */
  readonly spread: Node | undefined
  /** What volts and amperes gave, where the method reads them. */
  readonly electrical?: ElectricalMeasured
  /** Power factor, where the method gives one. */
  readonly powerFactor?: Node
  /** What an engine takes, at base conditions, in m³/s. */
  readonly fuel?: { readonly rate: Node; readonly isGas: boolean }
}

/** What was read does not give a power. */
export const NO_POWER: PowerMeasured = { power: undefined, spread: undefined }

interface PowerMethod<S extends TObject = TObject> {
  readonly id: string
  readonly title: string
  readonly schema: S
  readonly formulas: readonly AnyFormula[]
  readonly source: Source
  readonly cautions: readonly CautionId[]
  readonly measure: (readings: Static<S>, place: string, around: Surroundings) => PowerMeasured
}

export const definePowerMethod = <const S extends TObject>(method: PowerMethod<S>): PowerMethod<S> => method
