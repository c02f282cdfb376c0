/** Friction in the column pipe between bowls and discharge: a loss of the plant, counted only for the head of the bowls. */
import type { Water } from './density.ts'
import { annulusArea } from './formulas/annulus-area.ts'
import { bowlHead } from './formulas/bowl-head.ts'
import { frictionFactor } from './formulas/friction-factor.ts'
import { hydraulicDiameter } from './formulas/hydraulic-diameter.ts'
import { kinematicViscosity } from './formulas/kinematic-viscosity.ts'
import { pipeFriction } from './formulas/pipe-friction.ts'
import { pipeVelocity } from './formulas/pipe-velocity.ts'
import { reynoldsNumber } from './formulas/reynolds-number.ts'
import type { Node } from './graph.ts'
import { leafKind, type Surroundings, widen } from './surroundings.ts'
import { toSi } from './units.ts'
import type { Quantities } from './visit.ts'

const COLUMN = leafKind('Inside diameter of the column', 'length')
const TUBE = leafKind('Outside diameter of shaft or tube in the column', 'length')
const LENGTH = leafKind('Length of the column', 'length')
const ROUGHNESS = leafKind('Roughness of the column relative to its diameter', 'ratio')
const NO_TUBE = { value: 0, unit: 'm' } as const

/** Friction of the column and head of the bowls, where the column is on record. */
export function measureColumn(quantities: Quantities, water: Water, around: Surroundings): void {
  const { graph, equipment, edition } = around
  const flow = quantities.get('flow')
  const totalHead = quantities.get('total-dynamic-head')
  if (flow === undefined || totalHead === undefined || !(graph.values[flow]! > 0)) return
  if (!equipment?.columnInsideDiameter || !equipment.columnLength) return
  const of = (member: string) => `plant/equipment/${member}`
  const column = graph.leaf(COLUMN, of('columnInsideDiameter'), equipment.columnInsideDiameter)
  widen(around, 'column-diameter', 'measure', of('columnInsideDiameter'), of('column'), column, graph.values[column]!)
  const tube = graph.leaf(
    TUBE,
    equipment.columnTubeDiameter ? of('columnTubeDiameter') : 'edition/no-tube',
    equipment.columnTubeDiameter ?? NO_TUBE,
  )
  if (graph.values[tube]! >= graph.values[column]!) return
  const diameter = graph.apply(hydraulicDiameter, { column, tube })
  const velocity = graph.apply(pipeVelocity, { flow, area: graph.apply(annulusArea, { column, tube }) })
  const length = graph.leaf(LENGTH, of('columnLength'), equipment.columnLength)
  widen(around, 'depth-on-record', 'measure', of('columnLength'), of('columnLength'), length, 1)
  const roughness = roughnessNode(diameter, around)
  const reynolds = graph.apply(reynoldsNumber, {
    velocity,
    diameter,
    viscosity: graph.apply(kinematicViscosity, { temperature: water.temperature, density: water.density }),
  })
  const factor = graph.apply(frictionFactor, { reynolds, roughness })
  const friction = graph.apply(pipeFriction, { factor, length, diameter, velocity })
  quantities.set('column-friction', friction)
  const counted = quantities.get(edition.settings.velocityHead === 'include' ? 'total-dynamic-head' : 'field-head')
  if (counted !== undefined) quantities.set('bowl-head', graph.apply(bowlHead, { totalHead: counted, friction }))
}

/** Roughness of the wall relative to the diameter: of the record, or that of steel in use. */
function roughnessNode(diameter: Node, around: Surroundings): Node {
  const { graph, equipment, edition } = around
  const stated = equipment?.columnRoughness
  const at = stated === undefined ? 'edition/column-roughness-not-stated' : 'plant/equipment/columnRoughness'
  const metres = stated === undefined ? edition.settings.columnRoughnessNotStatedM : toSi(stated, 'length')
  const value = metres / graph.values[diameter]!
  const node = graph.leaf(ROUGHNESS, at, { value, unit: '1' })
  widen(around, 'column-roughness', 'measure', at, at, node, value)
  return node
}
