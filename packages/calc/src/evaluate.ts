/**
 * The whole calculation, as a list of steps; the only way in.
 *
 * Sheet, context and edition are the whole input: no clock, no randomness, no store. The same input gives the
 * same output to the last bit.
 */
import { adviseRun } from './advice.ts'
import type { Context } from './context.ts'
import type { Advice, Evaluation, Result } from './evaluation.ts'
import { collectFacts, collectVisit } from './findings/collect.ts'
import type { Facts } from './findings/facts.ts'
import { judge, judgeFlow, judgeVisit, soundnessOf } from './findings/judge.ts'
import { handCheck } from './hand-check.ts'
import { type Measured, measure } from './measure.ts'
import { type PreferredUnits, preferredUnits } from './preferred-units.ts'
import { quantities } from './quantities.ts'
import { resultOf, tooUncertain } from './results.ts'
import type { Sheet } from './sheet.ts'
import type { AnyEdition } from './surroundings.ts'
import { combine, type Uncertainty } from './uncertainty.ts'
import type { Quantities } from './visit.ts'

/** Why each result would not be reported for its own uncertainty; notes the first that is too uncertain. */
function uncertainResults(computed: readonly Result[], edition: AnyEdition, facts: Facts): (string | undefined)[] {
  const drawdown = computed.find(({ quantity }) => quantity === 'drawdown')
  return computed.map((result) => {
    const because = tooUncertain(result, drawdown, edition)
    if (because === 'too-uncertain' && facts.uncertainQuantity === undefined) {
      facts.uncertainQuantity = quantities[result.quantity].title
      facts.uncertainShare = result.expandedUncertainty / Math.abs(result.value)
    }
    return because
  })
}

/** What stands for energy per volume where an engine drives the pump. */
const ofFuel = (nodes: Quantities): 'gas-per-volume' | 'fuel-per-volume' =>
  nodes.has('gas-per-volume') ? 'gas-per-volume' : 'fuel-per-volume'

/** Results, findings, advice and hand check of one run; what a finding spoils is withheld. */
function reportRun(measured: Measured, index: number, units: PreferredUnits, evaluation: Evaluation): void {
  const { visit } = measured
  const { graph } = visit
  const { quantities: nodes, facts } = measured.runs[index]!
  const computed: Result[] = []
  let advice: readonly Advice[] = []
  let lastNode = -1
  let sensitivity: Float64Array | undefined
  let uncertainty: Uncertainty | undefined
  for (const [quantity, node] of nodes) {
    // Two quantities in a row may be one value in two units.
    if (sensitivity === undefined || uncertainty === undefined || node !== lastNode) {
      sensitivity = graph.componentSensitivities(node)
      uncertainty = combine(graph, sensitivity)
      lastNode = node
    }
    const value = graph.values[node]!
    if (quantity === 'overall-plant-efficiency')
      advice = adviseRun(index, visit, sensitivity, uncertainty.expanded / Math.abs(value))
    const result = resultOf(index, quantity, value, uncertainty, units, visit.sheet)
    // Divided by a flow of zero, or overflown: no number that could be reported or judged.
    if (Number.isFinite(result.shown.value) && Number.isFinite(result.shown.expandedUncertainty)) computed.push(result)
    else evaluation.withheld.push({ run: index, quantity, because: 'not-resolved' })
  }

  const check = handCheck(index, visit, nodes)
  collectFacts(measured, index, computed, check, advice, facts)
  const uncertain = uncertainResults(computed, visit.edition, facts)
  const judgement = judge(visit, index, facts, units)
  evaluation.findings.push(...judgement.findings)

  const spoiled = judgement.spoiledBy(nodes)
  for (const part of measured.runs[index]!.parts) {
    const ofFlow = judgeFlow(visit, index, part, units)
    evaluation.findings.push(...ofFlow.findings)
    for (const [quantity, because] of ofFlow.spoiledBy(nodes))
      if (!spoiled.has(quantity)) spoiled.set(quantity, because)
  }
  for (let i = 0; i < computed.length; i++) {
    const result = computed[i]!
    const because = spoiled.get(result.quantity) ?? uncertain[i]
    if (because === undefined) evaluation.results.push(result)
    else evaluation.withheld.push({ run: index, quantity: result.quantity, because })
  }
  const { fuel } = facts
  for (const asked of visit.edition.settings.expected[visit.sheet.purpose ?? 'full']) {
    const quantity = asked === 'energy-per-volume' && fuel !== undefined ? ofFuel(nodes) : asked
    if (!nodes.has(quantity)) evaluation.withheld.push({ run: index, quantity, because: 'reading-missing' })
  }
  if (check === undefined || spoiled.has('overall-plant-efficiency')) return
  evaluation.handChecks.push(check)
  evaluation.advice.push(...advice)
}

const GRAVEST_FIRST = { reject: 0, hold: 1, caution: 2, note: 3 } as const

/**
 * What the edition makes of the sheet.
 *
 * The sheet must have passed the schema and `sheetProblems`. Missing readings lead to findings, never to errors.
 */
export function evaluate(sheet: Sheet, context: Context, edition: AnyEdition): Evaluation {
  const measured = measure(sheet, context, edition)
  const evaluation: Evaluation = {
    edition: edition.id,
    soundness: 'sound',
    results: [],
    withheld: [],
    findings: [],
    advice: [],
    handChecks: [],
  }
  const units = preferredUnits(sheet)
  for (let index = 0; index < sheet.runs.length; index++) reportRun(measured, index, units, evaluation)
  const facts = collectVisit(measured, units)
  evaluation.findings.push(...judgeVisit(measured.visit, facts, units))
  evaluation.findings.sort((a, b) => GRAVEST_FIRST[a.severity] - GRAVEST_FIRST[b.severity])
  evaluation.soundness = soundnessOf(evaluation.findings)
  return evaluation
}
