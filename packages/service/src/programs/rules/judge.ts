/** A rule set judges a test. Pure: from the same data comes the same judgement, whoever asks and whenever. */
import { type AmountOfTest, amountOf } from './amount.ts'
import { allOf, type FactRead, type Outcome } from './conditions.ts'
import { applies, type Judged, judgeReading, judgeRule } from './judge-rule.ts'
import { factsOf, type Material } from './material.ts'
import type { ReadingRule, Rule, RuleSetContent } from './schema.ts'
import { type Standing, standingUnder } from './soundness.ts'

export const RULE_GROUPS = ['method', 'eligibility', 'readings', 'quality'] as const

export interface JudgedRule extends Judged {
  readonly rule: string
  readonly group: (typeof RULE_GROUPS)[number]
  /** JSON Pointer into the rule set. */
  readonly pointer: string
  /** False where the rule is not for such a test; it is met then. */
  readonly applies: boolean
}

export interface JudgedTest extends Standing {
  readonly rules: readonly JudgedRule[]
  /** All rules together. */
  readonly eligibility: Outcome
  readonly amount: AmountOfTest
  /** Whether the amount is due before caps: rules met, and the test sound. What is missing counts as not met. */
  readonly payable: boolean
}

export function judge(rules: RuleSetContent, material: Material): JudgedTest {
  const read = factsOf(material)
  const judged = [
    editionRule(rules, material),
    ...rules.eligibility.map((rule, n) => judgeOne('eligibility', n, rule)),
    ...rules.readings.map((rule, n) => judgeOne('readings', n, rule)),
    ...rules.quality.map((rule, n) => judgeOne('quality', n, rule)),
  ]
  function judgeOne(group: JudgedRule['group'], n: number, rule: Rule | ReadingRule): JudgedRule {
    const about = { rule: rule.id, group, pointer: `/${group}/${n}` }
    const isFor = applies(rule, read)
    if (isFor === 'not-met') return { ...about, applies: false, outcome: 'met', wanted: '', facts: conditions(rule) }
    const own = 'needs' in rule ? judgeReading(rule, material) : judgeRule(rule, material, read)
    if (isFor === 'met' || own.outcome === 'met') return { ...about, applies: true, ...own }
    const because = 'a fact is missing that says whether the rule applies'
    return { ...about, applies: true, ...own, outcome: 'not-decidable', because }
  }
  function conditions({ when }: Rule | ReadingRule): FactRead[] {
    return Object.keys(when ?? {}).map((name) => read(name as Parameters<typeof read>[0]))
  }
  const standing = standingUnder(rules, material)
  const eligibility = allOf(judged.map(({ outcome }) => outcome))
  const amount = amountOf(rules, read)
  const payable = eligibility === 'met' && standing.soundness === 'sound' && amount.amount !== undefined
  return { ...standing, rules: judged, eligibility, amount, payable }
}

/** The edition that the rule set names: another one may compute otherwise. */
function editionRule({ methodEdition }: RuleSetContent, { evaluation }: Material): JudgedRule {
  const value = { value: evaluation.edition, document: 'evaluation', pointer: '/edition' } as const
  return {
    rule: 'method-edition',
    group: 'method',
    pointer: '/methodEdition',
    applies: true,
    outcome: evaluation.edition === methodEdition ? 'met' : 'not-met',
    wanted: methodEdition,
    facts: [{ fact: 'methodEdition', values: [value] }],
  }
}
