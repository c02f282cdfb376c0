/** What a rule set pays for a test, line by line, before caps. */
import { type FactRead, type Outcome, type ReadFact, whenOutcome } from './conditions.ts'
import { isFact } from './facts.ts'
import { moneyOf, moneyText, ZERO } from './money.ts'
import type { AmountLine } from './payments-schema.ts'
import type { RuleSetContent } from './schema.ts'

export interface AmountStep {
  /** Id of the rule and its JSON Pointer into the rule set. */
  readonly rule: string
  readonly pointer: string
  readonly step: 'amount' | 'add'
  readonly amount: string
  /** The sum so far. */
  readonly total: string
  readonly facts: readonly FactRead[]
}

export interface AmountOfTest {
  readonly currency: string
  /** Absent where a fact is missing that decides it, or no line fits. */
  readonly amount?: string
  readonly steps: readonly AmountStep[]
  /** Lines that a missing fact leaves open. */
  readonly open: readonly { readonly rule: string; readonly pointer: string; readonly missing: string }[]
}

const AT = '/payments/test/amounts'

/** Sums are exact; the cent is rounded once, at the end. */
export function amountOf({ payments, currency }: RuleSetContent, read: ReadFact): AmountOfTest {
  const steps: AmountStep[] = []
  const open: AmountOfTest['open'][number][] = []
  let total = ZERO
  let has = false
  const lines = (payments.test?.amounts ?? []).map((line, n) => ({ line, pointer: `${AT}/${n}` }))
  // What is added comes after what it is added to, whatever the order they were written in.
  for (const { line, pointer } of [
    ...lines.filter(({ line }) => line.amount),
    ...lines.filter(({ line }) => line.add),
  ]) {
    const facts = factsOfLine(line, read)
    const applies: Outcome = whenOutcome(line.when, read)
    if (applies === 'not-decidable') open.push({ rule: line.id, pointer, missing: missingOf(facts) })
    if (applies !== 'met') continue
    const step = line.amount === undefined ? 'add' : 'amount'
    const amount = (line.amount ?? line.add)!
    total = total.plus(moneyOf(amount))
    has ||= step === 'amount'
    steps.push({ rule: line.id, pointer, step, amount, total: moneyText(total), facts })
  }
  return { currency, ...(has && open.length === 0 && { amount: moneyText(total) }), steps, open }
}

const factsOfLine = ({ when }: AmountLine, read: ReadFact): FactRead[] =>
  Object.keys(when ?? {}).flatMap((name) => (isFact(name) ? [read(name)] : []))

const missingOf = (facts: readonly FactRead[]): string =>
  facts.flatMap(({ missing }) => missing ?? []).join('; ') || 'a fact is missing'
