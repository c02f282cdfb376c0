/** Current and voltage transformers between the plant and an instrument. */
import { Type } from 'typebox'
import { primaryPower } from '../formulas/primary-power.ts'
import type { Node } from '../graph.ts'
import { positiveReading, type Reading } from '../readings.ts'
import { leafKind, type Surroundings, widen } from '../surroundings.ts'

const CURRENT_RATIO = leafKind('Ratio of the current transformers', 'ratio')
const VOLTAGE_RATIO = leafKind('Ratio of the voltage transformers', 'ratio')
const WITHOUT = { value: 1, unit: '1' } as const

export const transformerMembers = {
  currentTransformer: Type.Optional(
    positiveReading(
      'ratio',
      'Ratio of the current transformers, from their plates: 200:5 is 40. Never opened under load.',
    ),
  ),
  voltageTransformer: Type.Optional(positiveReading('ratio', 'Ratio of the voltage transformers, from their plates.')),
} as const

interface Transformers {
  readonly currentTransformer?: Reading
  readonly voltageTransformer?: Reading
}

/** Power before the transformers, where there are any. */
export function beforeTransformers(
  secondary: Node,
  { currentTransformer, voltageTransformer }: Transformers,
  place: string,
  around: Surroundings,
): Node {
  if (currentTransformer === undefined && voltageTransformer === undefined) return secondary
  const { graph } = around
  const currentRatio = graph.leaf(
    CURRENT_RATIO,
    currentTransformer === undefined ? 'edition/no-transformer' : `${place}/currentTransformer`,
    currentTransformer ?? WITHOUT,
  )
  const voltageRatio = graph.leaf(
    VOLTAGE_RATIO,
    voltageTransformer === undefined ? 'edition/no-transformer' : `${place}/voltageTransformer`,
    voltageTransformer ?? WITHOUT,
  )
  for (const [stated, node, at] of [
    [currentTransformer, currentRatio, `${place}/currentTransformer`],
    [voltageTransformer, voltageRatio, `${place}/voltageTransformer`],
  ] as const)
    if (stated !== undefined) widen(around, 'transformer-ratio', 'certify', at, at, node, graph.values[node]!)
  return graph.apply(primaryPower, { secondary, currentRatio, voltageRatio })
}
