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

interface ColumnRead {
  readonly leaf: Node
  readonly velocity: Node
}

/** Velocity of one column. */
function readColumn(column: Measured, place: string, manometer: Manometer, { graph }: FlowSurroundings): ColumnRead {
  const leaf = graph.leaf(COLUMN, place, column)
  const { coefficient, factor } = manometer
  return { leaf, velocity: graph.apply(pitotVelocity, { coefficient, column: leaf, factor }) }
}

/** Velocity in m/s that a column of the size of an error would stand for. */
function speedOf(u: number, manometer: Manometer, { graph }: FlowSurroundings): number {
  return graph.values[manometer.coefficient]! * Math.sqrt(2 * STANDARD_GRAVITY * u * graph.values[manometer.factor]!)
}

/** True where a column stands clear enough of zero for the slope of the root to tell what an error does. */
const standsClear = (column: number, u: number): boolean => Math.abs(column) > u / 4

/** What an error of a column makes of its velocity, in m/s; without limit the slope would grow towards zero. */
function effectOf(u: number, read: ColumnRead, manometer: Manometer, around: FlowSurroundings): number {
  const column = around.graph.values[read.leaf]!
  if (!standsClear(column, u)) return speedOf(u, manometer, around)
  return Math.abs((around.graph.values[read.velocity]! / (2 * column)) * u)
}

/**
 * Lets an error of a column act. Near zero, where the slope of the root grows without limit, it acts on the velocity
 * itself, by the speed of a column of its own size; at a quarter of the error both are the same.
 */
function actOnColumn(component: number, u: number, read: ColumnRead, manometer: Manometer, around: FlowSurroundings) {
  const { graph } = around
  if (standsClear(graph.values[read.leaf]!, u)) graph.act(component, read.leaf, 1)
  else if (u > 0) graph.act(component, read.velocity, speedOf(u, manometer, around) / u)
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
  const { step } = manometer
  const u = step === undefined ? edition.defaults['manometer-resolution'].u : resolution(toMetres(step))
  const kind =
    step === undefined
      ? defaultKind(edition, 'manometer-resolution', 'repeat')
      : instruments.kind('manometer-resolution', 'Step of the manometer', 'repeat', 'length')
  if (point.repeats !== undefined)
    return repeatedVelocity(point.repeats, point.unit, place, group, u, kind, manometer, around)

  const value = point.value ?? (point.low! + point.high!) / 2
  const read = readColumn({ value, unit: point.unit }, place, manometer, around)
  actOnColumn(graph.component({ kind, place, group, u, dof: Infinity }), u, read, manometer, around)
  if (point.value === undefined) {
    const half = rectangular(toMetres({ value: Math.abs(point.high! - point.low!) / 2, unit: point.unit }))
    actOnColumn(graph.component({ kind: SWING, place, group, u: half, dof: Infinity }), half, read, manometer, around)
  }
  return read.velocity
}

/**
 * Mean velocity of the repeats at a point. Their scatter replaces the step of the scale where it is the larger of the
 * two: it is the same cause, so they never add up. The step is one error for all repeats: it does not average out.
 */
function repeatedVelocity(
  repeats: readonly number[],
  unit: string,
  place: string,
  group: string,
  u: number,
  kind: ComponentKind,
  manometer: Manometer,
  around: FlowSurroundings,
): Node {
  const { graph } = around
  const n = repeats.length
  const reads = repeats.map((value, i) => readColumn({ value, unit }, `${place}/repeats/${i}`, manometer, around))
  const velocity = graph.apply(pointMeanVelocity, { velocities: reads.map((read) => read.velocity) })
  const scatter = sampleDeviation(reads.map((read) => graph.values[read.velocity]!)) / Math.sqrt(n)
  let ofStep = 0
  for (const read of reads) ofStep += effectOf(u, read, manometer, around) / n
  if (scatter > ofStep)
    graph.act(graph.component({ kind: SCATTER, place: `${place}/repeats`, group, u: scatter, dof: n - 1 }), velocity, 1)
  else {
    const component = graph.component({ kind, place: `${place}/repeats`, group, u, dof: Infinity })
    for (const read of reads) actOnColumn(component, u, read, manometer, around)
  }
  return velocity
}
