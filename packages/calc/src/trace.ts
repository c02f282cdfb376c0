/** The trace: how one quantity follows from readings, and what its uncertainty is made of. */
import type { Context } from './context.ts'
import type { Trace, TraceComponent, TraceNode, TraceSource } from './evaluation.ts'
import type { Graph, Node } from './graph.ts'
import { measure } from './measure.ts'
import { type QuantityId, quantities } from './quantities.ts'
import type { Sheet } from './sheet.ts'
import type { AnyEdition } from './surroundings.ts'
import { combine } from './uncertainty.ts'
import { siUnit } from './units.ts'

const AS_READ: TraceSource = { document: 'the sheet', place: 'as read on the visit', basis: 'looked up' }

const ON_RECORD: TraceSource = {
  document: 'record of the plant',
  place: 'equipment of the context',
  basis: 'looked up',
}

/** What a leaf is, by where it comes from. */
function leafWords(place: string, edition: AnyEdition): Pick<TraceNode, 'id' | 'expression' | 'source'> {
  if (place.startsWith('edition/'))
    return {
      id: 'default',
      expression: 'setting of the edition',
      source: { document: `method edition ${edition.id}`, place, basis: 'our judgement' },
    }
  if (place.startsWith('plant/')) return { id: 'record', expression: 'as recorded', source: ON_RECORD }
  return { id: 'reading', expression: 'as read', source: AS_READ }
}

const isNumber = (value: number, sensitivity: number): boolean => Number.isFinite(value) && Number.isFinite(sensitivity)

/** Nodes below a target, the target first, each after everything that uses it, each once. */
function nodesBelow(graph: Graph, target: Node): Node[] {
  const seen = new Set<Node>()
  const visitNode = (node: Node) => {
    if (seen.has(node)) return
    seen.add(node)
    for (const input of graph.inputsOf(node)) visitNode(input.node)
  }
  visitNode(target)
  // Inputs of a node always have smaller indices.
  return [...seen].sort((a, b) => b - a)
}

function describeNode(
  graph: Graph,
  node: Node,
  number: Map<Node, number>,
  sensitivity: Float64Array,
  edition: AnyEdition,
): TraceNode {
  const origin = graph.origins[node]!
  const common = { node: number.get(node)!, value: graph.values[node]!, sensitivity: sensitivity[node]! }
  if ('inputs' in origin)
    return {
      ...common,
      id: origin.id,
      title: origin.title,
      expression: origin.expression,
      source: origin.source,
      unit: origin.unit,
      inputs: graph.inputsOf(node).map((input) => ({ name: input.name, node: number.get(input.node)! })),
    }
  const { kind, place, read } = origin
  return {
    ...common,
    ...leafWords(place, edition),
    title: kind.title,
    unit: kind.unit,
    inputs: [],
    reading: {
      place,
      value: read.value,
      unit: read.unit,
      sensitivity: sensitivity[node]! * kind.unitSize(read.unit),
    },
  }
}

function describeComponents(
  graph: Graph,
  componentSensitivity: Float64Array,
  variance: number,
  number: Map<Node, number>,
): TraceComponent[] {
  const described: TraceComponent[] = []
  graph.components.forEach((component, index) => {
    const c = componentSensitivity[index]!
    if (c === 0) return
    const contribution = c * component.u
    const line: TraceComponent = {
      id: `${component.place}#${component.kind.id}`,
      label: component.kind.label,
      place: component.place,
      source: component.kind.source,
      standardUncertainty: component.u,
      unit: component.kind.unit,
      sensitivity: c,
      // The variance is the square of a root: rounding may leave it a hair below its only part.
      shareOfVariance: variance === 0 ? 0 : Math.min(1, (contribution * contribution) / variance),
      nodes: graph.nodesOf(index).flatMap((node) => number.get(node) ?? []),
    }
    if (component.dof !== Infinity) line.degreesOfFreedom = component.dof
    described.push(line)
  })
  return described.sort((a, b) => b.shareOfVariance - a.shareOfVariance)
}

interface TraceRequest {
  readonly quantity: QuantityId
  readonly run: number
}

/**
 * Trace of a quantity of a run; undefined where the readings do not allow the quantity.
 * It is never stored: it is made again from sheet, context and edition, so every reading of it is a replay.
 */
export function traceQuantity(
  sheet: Sheet,
  context: Context,
  edition: AnyEdition,
  { quantity, run }: TraceRequest,
): Trace | undefined {
  const { visit, runs } = measure(sheet, context, edition)
  const { graph } = visit
  const target = runs[run]?.quantities.get(quantity)
  if (target === undefined) return undefined

  const sensitivity = graph.sensitivities(target).slice(0, graph.size)
  const componentSensitivity = graph.componentSensitivities(target)
  const { standard } = combine(graph, componentSensitivity)
  const order = nodesBelow(graph, target)
  const number = new Map(order.map((node, index) => [node, index]))
  const unit =
    quantity === 'cost-per-volume'
      ? `${sheet.economics!.energyRate!.unit.slice(0, 3)}/m3`
      : siUnit(quantities[quantity].dimension)
  // What rests on a division by zero or an overflow is no quantity and has no trace.
  if (!Number.isFinite(standard) || !order.every((node) => isNumber(graph.values[node]!, sensitivity[node]!)))
    return undefined
  return {
    edition: edition.id,
    quantity,
    run,
    value: graph.values[target]!,
    unit,
    standardUncertainty: standard,
    nodes: order.map((node) => describeNode(graph, node, number, sensitivity, edition)),
    components: describeComponents(graph, componentSensitivity, standard * standard, number),
  }
}
