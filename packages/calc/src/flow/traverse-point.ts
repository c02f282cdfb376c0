/** Velocity at one point of a traverse, from one value, repeats, or the ends of a swing. */

import { STANDARD_GRAVITY } from '../constants.ts'
import { pitotVelocity } from '../formulas/pitot-velocity.ts'
import { pointMeanVelocity } from '../formulas/point-mean-velocity.ts'
import type { ComponentKind, Node } from '../graph.ts'
import type { SwingingReading } from '../readings.ts'
import { defaultKind, leafKind } from '../surroundings.ts'
import { rectangular, resolution, sampleDeviation } from '../uncertainty.ts'
import { type Measured, siConverter } from '../units.ts'
import type { FlowSurroundings } from './flow-method.ts'

const toMetres = siConverter('length')
const COLUMN = leafKind('Difference of the manometer columns', 'length')

const swing = (id: string, label: string, unit: string): ComponentKind => ({
  id,
  label,
  action: 'repeat',
  source: { document: 'JCGM 100:2008', place: '4.2.3 and 4.3.7 (item from memory)', basis: 'from memory' },
  unit,
})
const SWING = swing('column-swing', 'Swing of the manometer columns', 'm')
const SCATTER = swing('column-repeats', 'Scatter of the repeats at a point', 'm/s')

export interface Manometer {
  readonly coefficient: Node
  readonly factor: Node
  /** Smallest step of the scale, where it is known. */
  readonly step: Measured | undefined
}

/** The value a point stands for: as read, mean of the swing, or mean of the repeats. In m, signed. */
export function columnOf(point: SwingingReading): number {
  const inUnit =
    point.value ??
    (point.repeats !== undefined
      ? point.repeats.reduce((sum, value) => sum + value, 0) / point.repeats.length
      : (point.low! + point.high!) / 2)
  return toMetres({ value: inUnit, unit: point.unit })
}

/** Velocity of one column. A column of zero has an infinite slope: its step widens the velocity itself. */
function velocityOf(
  column: Measured,
  place: string,
  group: string,
  u: number,
  kind: ComponentKind,
  manometer: Manometer,
  around: FlowSurroundings,
): Node {
  const { graph } = around
  const leaf = graph.leaf(COLUMN, place, column)
  const velocity = graph.apply(pitotVelocity, {
    coefficient: manometer.coefficient,
    column: leaf,
    factor: manometer.factor,
  })
  const component = graph.component({ kind, place, group, u, dof: Infinity })
  if (graph.values[leaf] === 0) {
    const speed =
      graph.values[manometer.coefficient]! * Math.sqrt(2 * STANDARD_GRAVITY * u * graph.values[manometer.factor]!)
    graph.act(component, velocity, speed / u)
  } else graph.act(component, leaf, 1)
  return velocity
}

/** Velocity at a point, with the causes of uncertainty that belong to it alone. */
export function pointVelocity(
  point: SwingingReading,
  place: string,
  group: string,
  manometer: Manometer,
  around: FlowSurroundings,
): Node {
  const { graph, edition, instruments } = around
  const step = manometer.step
  const u = step === undefined ? edition.defaults['manometer-resolution'].u : resolution(toMetres(step))
  const kind =
    step === undefined
      ? defaultKind(edition, 'manometer-resolution', 'repeat')
      : instruments.kind('manometer-resolution', 'Step of the manometer', 'repeat', 'length')

  if (point.repeats === undefined) {
    const value = point.value ?? (point.low! + point.high!) / 2
    const velocity = velocityOf({ value, unit: point.unit }, place, group, u, kind, manometer, around)
    if (point.value === undefined) {
      const halfSwing = toMetres({ value: Math.abs(point.high! - point.low!) / 2, unit: point.unit })
      const perColumn = value === 0 ? 0 : graph.values[velocity]! / (2 * toMetres({ value, unit: point.unit }))
      graph.act(
        graph.component({ kind: SWING, place, group, u: rectangular(halfSwing), dof: Infinity }),
        velocity,
        perColumn,
      )
    }
    return velocity
  }

  const n = point.repeats.length
  const repeated = point.repeats.map((value, i) =>
    velocityOf({ value, unit: point.unit }, `${place}/repeats/${i}`, group, u, kind, manometer, around),
  )
  const velocity = graph.apply(pointMeanVelocity, { velocities: repeated })
  const scatter = sampleDeviation(repeated.map((node) => graph.values[node]!))
  // Repeats scatter on top of the scale's step only by what the step does not already explain.
  const mean = graph.values[velocity]!
  const column = columnOf(point)
  const explained = column === 0 ? 0 : (mean / (2 * column)) * u
  if (scatter * scatter > explained * explained)
    graph.act(
      graph.component({
        kind: SCATTER,
        place: `${place}/repeats`,
        group,
        u: Math.sqrt((scatter * scatter - explained * explained) / n),
        dof: n - 1,
      }),
      velocity,
      1,
    )
  return velocity
}
