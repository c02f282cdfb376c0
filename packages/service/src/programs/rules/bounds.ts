/** Bounds of rules as numbers: what is measured in SI, all else as it stands. */
import { toSi, UnitError } from '@liftledger/calc'
import { type FactKind, type FactName, factKind } from './facts.ts'
import type { Bound } from './schema-parts.ts'

/** The bound as a number to compare a fact with; a text says why it is none. */
export function boundValue(bound: Bound, fact: FactName): number | string {
  return valueIn(bound, factKind(fact))
}

function valueIn(bound: Bound, kind: FactKind): number | string {
  if (kind.kind !== 'number') return 'this fact has no size to compare'
  const { dimension } = kind
  if (typeof bound === 'number') {
    return dimension === undefined || dimension === 'ratio' ? bound : `a value of ${dimension} needs its unit`
  }
  if (dimension === undefined) return 'a count, days or diameters take a bare number'
  try {
    return toSi(bound, dimension)
  } catch (error) {
    if (error instanceof UnitError) return error.message
    throw error
  }
}

export const boundText = (bound: Bound): string =>
  typeof bound === 'number' ? String(bound) : `${bound.value} ${bound.unit}`
