/** Contradictions of amounts with each other, with who is eligible, and with caps. */

import { boundValue } from './bounds.ts'
import { factRules } from './check-rules.ts'
import { type Bounds, boundsOf, codesOf, keeps } from './conditions.ts'
import { type Contradiction, contradiction, type RulePlace } from './contradiction.ts'
import { lengthOf } from './days.ts'
import { type FactName, factKind, isFact } from './facts.ts'
import { moneyOf } from './money.ts'
import type { AmountLine, Cap } from './payments-schema.ts'
import type { Rule, RuleSetContent } from './schema.ts'
import type { When } from './schema-parts.ts'

type Value = string | number
type Example = ReadonlyMap<FactName, Value>

const AMOUNTS = '/payments/test/amounts'
const CAPS = '/payments/test/caps'
/** More combinations than that are not tried one by one; no honest rule set comes near. */
const EXAMPLES_MAX = 50_000

const placeOf = ({ id }: { readonly id: string }, pointer: string, n: number): RulePlace => ({
  id,
  pointer: `${pointer}/${n}`,
})

function fits(value: Value | undefined, wanted: When[string], fact: FactName): boolean {
  const codes = codesOf(wanted)
  if (codes !== undefined) return codes.includes(String(value))
  return keepsAll(value, wanted as Bounds, fact)
}

const keepsAll = (value: Value | undefined, bounds: Bounds, fact: FactName): boolean =>
  boundsOf(bounds).every(([word, bound]) => {
    const limit = boundValue(bound, fact)
    return typeof value === 'number' && typeof limit === 'number' && keeps(value, word, limit)
  })

const applies = ({ when = {} }: AmountLine, example: Example): boolean =>
  Object.entries(when).every(([name, wanted]) => isFact(name) && fits(example.get(name), wanted, name))

/** Rules that always count and look at one of the facts: what they refuse no amount need be for. */
const eligible = (rules: readonly Rule[], example: Example): boolean =>
  rules.every((rule) => {
    if (!isFact(rule.fact) || !example.has(rule.fact) || rule.when !== undefined || rule.waivedBy !== undefined)
      return true
    const value = example.get(rule.fact)
    return rule.in === undefined ? keepsAll(value, rule, rule.fact) : rule.in.includes(String(value))
  })

/** Values of a fact that tell every condition on it from every other: each bound, and a value on either side. */
function telling(fact: FactName, conditions: readonly When[string][], rules: readonly Rule[]): Value[] {
  const kind = factKind(fact)
  const ofRules = rules.filter((rule) => rule.fact === fact)
  if (kind.kind === 'code') {
    const named = [
      ...conditions.flatMap((wanted) => codesOf(wanted) ?? []),
      ...ofRules.flatMap((rule) => rule.in ?? []),
    ]
    // One that nobody names stands for all others.
    return [...new Set([...named, ...(kind.values ?? ['another'])])]
  }
  const bounds = [...conditions.filter((wanted) => codesOf(wanted) === undefined), ...ofRules] as Bounds[]
  const edges = bounds.flatMap((each) => boundsOf(each).map(([, bound]) => boundValue(bound, fact)))
  const sorted = [...new Set(edges.filter((edge) => typeof edge === 'number'))].toSorted((a, b) => a - b)
  if (kind.kind === 'number' && kind.whole)
    return [...new Set([1, ...sorted.flatMap((edge) => [edge - 1, edge, edge + 1])])].filter((n) => n >= 0)
  return sorted.flatMap((edge, n) => {
    const next = sorted[n + 1]
    return [...(n === 0 ? [edge / 2] : []), edge, next === undefined ? edge * 2 : (edge + next) / 2]
  })
}

function* combinations(facts: readonly (readonly [FactName, readonly Value[]])[]): Generator<Example> {
  const [first, ...rest] = facts
  if (first === undefined) {
    yield new Map()
    return
  }
  for (const other of combinations(rest)) for (const value of first[1]) yield new Map([...other, [first[0], value]])
}

/** Exactly one amount must be for each test of an eligible plant; told once for each pair of rules. */
export function checkAmounts(rules: RuleSetContent): Contradiction[] {
  const lines = rules.payments.test?.amounts ?? []
  const amounts = lines
    .map((line, n) => ({ line, place: placeOf(line, AMOUNTS, n) }))
    .filter(({ line }) => line.amount !== undefined)
  const both = lines.flatMap((line, n) =>
    (line.amount === undefined) === (line.add === undefined)
      ? [
          contradiction(
            'no-operator',
            `Line '${line.id}' takes either \`amount\` or \`add\`.`,
            placeOf(line, AMOUNTS, n),
          ),
        ]
      : [],
  )
  if (both.length > 0 || rules.payments.test === undefined) return both
  const own = factRules(rules).map(({ rule }) => rule)
  const names = [...new Set(amounts.flatMap(({ line }) => Object.keys(line.when ?? {})))].filter(isFact)
  const facts = names.map((name) => {
    const conditions = amounts.flatMap(({ line }) => line.when?.[name] ?? [])
    return [name, telling(name, conditions, own)] as const
  })
  if (facts.reduce((all, [, values]) => all * values.length, 1) > EXAMPLES_MAX) {
    return [
      contradiction('amounts-overlap', 'The conditions of the amounts are too many to be told apart.', {
        pointer: AMOUNTS,
      }),
    ]
  }
  const found = new Map<string, Contradiction>()
  for (const example of combinations(facts)) {
    if (!eligible(own, example)) continue
    const [first, second] = amounts.filter(({ line }) => applies(line, example))
    if (first !== undefined && second === undefined) continue
    const one = first === undefined ? uncovered(rules, example) : overlapping(first, second!, example)
    found.set(JSON.stringify([one.code, one.rules]), found.get(JSON.stringify([one.code, one.rules])) ?? one)
  }
  return [...found.values()]
}

const SHOWN_UNITS: Readonly<Record<string, string>> = { power: 'W' }

const told = (example: Example): string =>
  [...example]
    .map(([name, value]) => {
      const kind = factKind(name)
      const unit = kind.kind === 'number' && kind.dimension !== undefined ? SHOWN_UNITS[kind.dimension] : undefined
      return `${name} ${typeof value === 'number' ? Number(value.toPrecision(6)) : value}${unit === undefined ? '' : ` ${unit}`}`
    })
    .join(', ')

interface PlacedLine {
  readonly line: AmountLine
  readonly place: RulePlace
}

const overlapping = (one: PlacedLine, other: PlacedLine, example: Example): Contradiction =>
  contradiction(
    'amounts-overlap',
    `Lines '${one.line.id}' and '${other.line.id}' are both for a test with ${told(example) || 'anything'}.`,
    one.place,
    other.place,
  )

/** Names the rule that lets the plant in, and the amounts among which there is none for it. */
function uncovered(rules: RuleSetContent, example: Example): Contradiction {
  const [fact] = example.keys()
  const letsIn = factRules(rules).find(({ rule }) => rule.fact === fact)
  const message = `No amount is for a test with ${told(example) || 'anything'}, which the rules of eligibility let in.`
  return contradiction('no-amount', message, letsIn?.place ?? { pointer: '/eligibility' }, { pointer: AMOUNTS })
}

/** Caps that pay nobody, and those that bind before others can. */
export function checkCaps(rules: RuleSetContent): Contradiction[] {
  const { test, repair } = rules.payments
  const amounts = (test?.amounts ?? []).flatMap((line, n) =>
    line.amount === undefined ? [] : [{ line, place: placeOf(line, AMOUNTS, n) }],
  )
  const smallest = amounts.toSorted((a, b) => moneyOf(a.line.amount!).cmp(moneyOf(b.line.amount!)))[0]
  const low = (test?.caps ?? []).flatMap((cap, n) => {
    const place = placeOf(cap, CAPS, n)
    if (cap.amount === undefined && cap.count === undefined) {
      return [contradiction('no-operator', `Cap '${cap.id}' takes a \`count\` or an \`amount\`.`, place)]
    }
    if (smallest === undefined) return []
    const isLow =
      cap.count === 0 || (cap.amount !== undefined && moneyOf(cap.amount).cmp(moneyOf(smallest.line.amount!)) < 0)
    if (!isLow) return []
    const message = `Cap '${cap.id}' allows ${cap.count === 0 ? 'no payment' : cap.amount}; the smallest amount, '${smallest.line.id}', is ${smallest.line.amount}.`
    return [contradiction('cap-below-amount', message, place, smallest.place)]
  })
  return [
    ...low,
    ...checkProgramCaps(test?.caps ?? [], CAPS),
    ...checkProgramCaps(repair?.caps ?? [], '/payments/repair/caps'),
    ...checkCountCaps(rules),
  ]
}

/** Allowed, and warned of: one customer could never reach his own cap. */
function checkProgramCaps(caps: readonly Cap[], pointer: string): Contradiction[] {
  const placed = caps
    .map((cap, n) => ({ cap, place: placeOf(cap, pointer, n) }))
    .filter(({ cap }) => cap.amount !== undefined)
  return placed
    .filter(({ cap }) => cap.per === 'program')
    .flatMap((whole) =>
      placed.flatMap(({ cap, place }) => {
        if (cap.per !== 'customer' || moneyOf(whole.cap.amount!).cmp(moneyOf(cap.amount!)) >= 0) return []
        const message = `Cap '${whole.cap.id}' of the program, ${whole.cap.amount}, is lower than '${cap.id}' of one customer, ${cap.amount}.`
        return contradiction('program-cap-below-customer-cap', message, whole.place, place)
      }),
    )
}

/** Tests of a plant are further apart than the version lasts, so that a second one never comes. */
function checkCountCaps(rules: RuleSetContent): Contradiction[] {
  const lasts = lengthOf({ first: rules.inForceFrom, last: rules.inForceTo })
  const apart = factRules(rules).filter(
    ({ rule }) => rule.fact === 'daysSinceLastPaidTest' && Number(rule.atLeast) > lasts,
  )
  return apart.flatMap(({ rule, place }) =>
    (rules.payments.test?.caps ?? []).flatMap((cap, n) => {
      const binds = cap.per !== 'plant' || cap.count === undefined || cap.window !== 'rule-set-year' || cap.count < 1
      // Both are waived by a repair: then tests may come closer, and the cap too lets them.
      if (binds) return []
      const message = `Rule '${rule.id}' keeps tests of a plant ${String(rule.atLeast)} days apart and the version lasts ${lasts}, so that '${cap.id}' never binds.`
      return contradiction('count-cap-never-binds', message, place, placeOf(cap, CAPS, n))
    }),
  )
}
