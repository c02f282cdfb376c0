/**
 * The whole calculation, as a list of steps; the only way in.
 *
 * Sheet, context and edition are the whole input: no clock, no randomness, no store. The same input gives the
 * same output to the last bit.
 */
import { adviseRun } from './advice.ts'
import type { Context } from './context.ts'
import type { Evaluation, Finding, HandCheck, Result, Withheld } from './evaluation.ts'
import { collectFacts } from './findings/collect.ts'
import { judge, soundnessOf } from './findings/judge.ts'
import { handCheck } from './hand-check.ts'
import { type Measured, measure } from './measure.ts'
import { preferredUnits } from './preferred-units.ts'
import { resultOf, tooUncertain } from './results.ts'
import type { Sheet } from './sheet.ts'
import type { AnyEdition } from './surroundings.ts'
import { uncertaintyOf } from './uncertainty.ts'

/** Results, findings and hand check of one run; what a finding spoils is withheld. */
function reportRun(
  measured: Measured,
  index: number,
  results: Result[],
  withheld: Withheld[],
  findings: Finding[],
): HandCheck | undefined {
  const { visit } = measured
  const { quantities, facts } = measured.runs[index]!
  const units = preferredUnits(visit.sheet)
  const computed: Result[] = []
  for (const [quantity, node] of quantities)
    computed.push(
      resultOf(index, quantity, visit.graph.values[node]!, uncertaintyOf(visit.graph, node), units, visit.sheet),
    )

  const check = handCheck(index, visit, quantities)
  collectFacts(measured, index, computed, check, facts)
  const raised = judge(visit, index, facts, units)
  findings.push(...raised.findings)

  const spoiled = raised.spoiledBy(quantities)
  const drawdown = computed.find(({ quantity }) => quantity === 'drawdown')
  for (const result of computed) {
    const because = spoiled.get(result.quantity) ?? tooUncertain(result, drawdown, visit.edition)
    if (because === undefined) results.push(result)
    else withheld.push({ run: index, quantity: result.quantity, because })
  }
  return spoiled.has('overall-plant-efficiency') ? undefined : check
}

const GRAVEST_FIRST = { reject: 0, hold: 1, caution: 2, note: 3 } as const

/**
 * What the edition makes of the sheet.
 *
 * The sheet must have passed the schema and {@link sheetProblems}. Missing readings lead to findings, never to errors.
 */
export function evaluate(sheet: Sheet, context: Context, edition: AnyEdition): Evaluation {
  const measured = measure(sheet, context, edition)
  const results: Result[] = []
  const withheld: Withheld[] = []
  const findings: Finding[] = []
  const handChecks: HandCheck[] = []
  const advice: Evaluation['advice'] = []
  for (let index = 0; index < sheet.runs.length; index++) {
    const check = reportRun(measured, index, results, withheld, findings)
    if (check === undefined) continue
    handChecks.push(check)
    advice.push(...adviseRun(measured, index))
  }
  findings.sort((a, b) => GRAVEST_FIRST[a.severity] - GRAVEST_FIRST[b.severity])
  return { edition: edition.id, soundness: soundnessOf(findings), results, withheld, findings, advice, handChecks }
}
