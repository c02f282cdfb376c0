/** The flow of a run, and what it is compared with. */
import { noFacts } from './findings/facts.ts'
import type { FlowMeasured, FlowPart, FlowRole } from './flow/flow-method.ts'
import { type FlowReadings, measureFlow } from './flow/flow-of-run.ts'
import { flowAtTap } from './formulas/flow-at-tap.ts'
import { relativeFlowDifference } from './formulas/relative-flow-difference.ts'
import type { Node } from './graph.ts'
import type { Run } from './sheet.ts'
import { leafKind, type Surroundings, widen } from './surroundings.ts'
import type { Quantities, Visit } from './visit.ts'

const LEAVING = leafKind('Water that leaves before the meter', 'flow')

/** Flow through the discharge tap: what was measured, and what left before the meter. */
export function measureTestedFlow(
  run: Run,
  place: string,
  { sheet }: Visit,
  quantities: Quantities,
  around: Surroundings,
  parts: FlowPart[],
): FlowMeasured | undefined {
  if (run.flow === undefined) return undefined
  const { graph } = around
  const measured = measureFlow(run.flow, `${place}/flow`, {
    ...around,
    instrument: sheet.instruments?.flow,
    role: 'tested',
    unnamed: 'edition',
    parts,
  })
  if (measured.flow === undefined) return measured
  if (run.flowLeavingBeforeMeter === undefined) {
    quantities.set('flow', measured.flow)
    return measured
  }
  const at = `${place}/flowLeavingBeforeMeter`
  const leaving = graph.leaf(LEAVING, at, run.flowLeavingBeforeMeter)
  widen(around, 'flow-leaving', 'measure', at, at, leaving, graph.values[leaving]!)
  quantities.set('flow', graph.apply(flowAtTap, { metered: measured.flow, leaving }))
  return measured
}

/** A flow beside the tested one. Its own instruments only: that named for flow has measured the tested flow. */
function measureBeside(
  readings: FlowReadings,
  place: string,
  role: Exclude<FlowRole, 'tested'>,
  around: Surroundings,
  parts: FlowPart[],
): Node | undefined {
  const facts = noFacts()
  if (readings.method !== 'several-pipes') parts.push({ place, role, facts })
  return measureFlow(readings, place, { ...around, facts, instrument: undefined, role, unnamed: place, parts }).flow
}

/**
 * The second method and the grower’s meter beside the tested flow, as differences relative to it.
 *
 * @param tested flow where it was measured: before anything that left the line earlier is added
 */
export function compareFlows(
  { comparisonFlow, growersMeter }: Run,
  place: string,
  { graph }: Visit,
  tested: Node,
  quantities: Quantities,
  around: Surroundings,
  parts: FlowPart[],
): void {
  if (comparisonFlow !== undefined) {
    const other = measureBeside(comparisonFlow, `${place}/comparisonFlow`, 'comparison', around, parts)
    if (other !== undefined) {
      quantities.set('comparison-flow', other)
      quantities.set('flow-difference', graph.apply(relativeFlowDifference, { other, tested }))
    }
  }
  if (growersMeter !== undefined) {
    const other = measureBeside(growersMeter, `${place}/growersMeter`, 'growers-meter', around, parts)
    if (other !== undefined) {
      quantities.set('growers-meter-flow', other)
      quantities.set('growers-meter-error', graph.apply(relativeFlowDifference, { other, tested }))
    }
  }
}
