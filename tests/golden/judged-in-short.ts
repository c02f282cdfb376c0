/** A golden sheet judged by a rule set, as the only test of its plant, in the form that is frozen. */
import { type Context, editionById, evaluate, type Sheet } from '@liftledger/calc'
import { judge } from '../../packages/service/src/programs/rules/judge.ts'
import type { Material } from '../../packages/service/src/programs/rules/material.ts'
import type { RuleSetContent } from '../../packages/service/src/programs/rules/schema.ts'

const edition = editionById('2026-1')!

/** What of a test is judged: given with consent, nothing decided, no test before. */
export function aloneInProgram(sheet: Sheet, context: Context): Material {
  const around = { consent: { given: true, turn: 1 }, before: { kind: 'none' }, beforeMayBeLater: false } as const
  const evaluation = evaluate(sheet, context, edition)
  return { sheet, context, edition, evaluation, ...around, decisions: [], beside: [], closed: undefined }
}

export function judgedInShort(
  rules: RuleSetContent,
  { sheet, context }: { readonly sheet: Sheet; readonly context: Context },
) {
  const { soundness, eligibility, amount, rules: judged } = judge(rules, aloneInProgram(sheet, context))
  const outcomes = judged.map((one) => [one.rule, one.applies ? one.outcome : 'does-not-apply'] as const)
  return { soundness, eligibility, amount: amount.amount ?? 'open', rules: Object.fromEntries(outcomes) }
}
