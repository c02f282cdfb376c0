/** The variable-frequency drive between supply and motor: what it loses on the way. */
import { Type } from 'typebox'
import { driveInputPower } from '../formulas/drive-input-power.ts'
import type { Node } from '../graph.ts'
import { leafKind, type Surroundings, widen } from '../surroundings.ts'

const EFFICIENCY = leafKind('Efficiency of the drive', 'ratio')

export const PowerPoint = Type.Enum(['supply', 'drive-output'], {
  description: 'Where power was read: at the supply of the plant, or between drive and motor.',
})

/** Efficiency of the drive: from the plant’s record, or the usual one of the edition. */
export function driveEfficiencyNode(around: Surroundings): Node {
  const { graph, edition, equipment } = around
  const onRecord = equipment?.driveEfficiency
  const at = onRecord === undefined ? 'edition/drive-efficiency' : 'plant/equipment/driveEfficiency'
  const value = onRecord ?? edition.settings.driveEfficiencyNotStated
  const efficiency = graph.leaf(EFFICIENCY, at, { value, unit: '1' })
  widen(around, 'drive-efficiency', 'measure', at, at, efficiency, 1)
  return efficiency
}

/** Power at the supply from power read there or behind the drive. */
export function atSupply(power: Node, point: 'supply' | 'drive-output', around: Surroundings): Node {
  if (point === 'supply') return power
  const { graph, facts } = around
  const driveEfficiency = driveEfficiencyNode(around)
  facts.driveOutputMeasured = true
  facts.driveEfficiency = graph.values[driveEfficiency]!
  return graph.apply(driveInputPower, { outputPower: power, driveEfficiency })
}
