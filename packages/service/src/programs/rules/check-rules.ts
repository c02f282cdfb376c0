/** Contradictions of single rules, and of readings with what is accepted. */

import { boundValue } from './bounds.ts'
import { type Bounds, boundsOf, boundsText, codesOf } from './conditions.ts'
import { type Contradiction, contradiction, type RulePlace } from './contradiction.ts'
import { FACTS, type FactName, factKind, GIVEN_BY, isFact } from './facts.ts'
import type { Rule, RuleSetContent } from './schema.ts'
import type { When } from './schema-parts.ts'

interface Placed<R> {
  readonly rule: R
  readonly place: Required<Pick<RulePlace, 'id' | 'pointer'>>
}

const placed = <R extends { readonly id: string }>(pointer: string, rules: readonly R[]): Placed<R>[] =>
  rules.map((rule, n) => ({ rule, place: { id: rule.id, pointer: `${pointer}/${n}` } }))

/** Rules about facts, those of eligibility and of quality. */
export const factRules = ({ eligibility, quality }: RuleSetContent): Placed<Rule>[] => [
  ...placed('/eligibility', eligibility),
  ...placed('/quality', quality),
]

type Conditional = Placed<{ readonly id: string; readonly when?: When }>

/** Everything with an id, in the order in which it is written. */
export function everyRule(rules: RuleSetContent): Conditional[] {
  const { test, repair } = rules.payments
  return [
    ...factRules(rules),
    ...placed('/readings', rules.readings),
    ...placed('/payments/test/amounts', test?.amounts ?? []),
    ...placed('/payments/test/caps', test?.caps ?? []),
    ...placed('/payments/repair/limits', repair?.limits ?? []),
    ...placed('/payments/repair/caps', repair?.caps ?? []),
  ] as Conditional[]
}

export function checkIds(rules: RuleSetContent): Contradiction[] {
  const seen = new Map<string, RulePlace>([['method-edition', { id: 'method-edition', pointer: '/methodEdition' }]])
  return everyRule(rules).flatMap(({ place }) => {
    const first = seen.get(place.id)
    if (first !== undefined) return contradiction('id-twice', `Two rules are called '${place.id}'.`, first, place)
    seen.set(place.id, place)
    return []
  })
}

const known = Object.keys(FACTS).join(', ')

export function checkConditions(rules: RuleSetContent): Contradiction[] {
  return everyRule(rules).flatMap(({ rule, place }) =>
    Object.entries(rule.when ?? {}).flatMap(([name, wanted]): Contradiction[] => {
      const at = { id: place.id, pointer: `${place.pointer}/when/${name}` }
      if (!isFact(name)) return [unknownFact(name, at)]
      const codes = codesOf(wanted)
      return codes === undefined ? checkBounds(name, wanted as Bounds, at) : checkCodes(name, codes, at)
    }),
  )
}

const unknownFact = (name: string, at: RulePlace): Contradiction =>
  contradiction('unknown-fact', `There is no fact '${name}'; there are ${known}.`, at)

export const checkOperators = (rules: RuleSetContent): Contradiction[] => factRules(rules).flatMap(checkOperator)

function checkOperator({ rule, place }: Placed<Rule>): Contradiction[] {
  const { fact } = rule
  const member = (name: string): RulePlace => ({ ...place, pointer: `${place.pointer}/${name}` })
  if (!isFact(fact)) return [unknownFact(fact, member('fact'))]
  switch (factKind(fact).kind) {
    case 'code':
      return rule.in === undefined ? [noOperator(rule, place, '`in`')] : checkCodes(fact, rule.in, member('in'))
    case 'number':
      return boundsOf(rule).length === 0
        ? [noOperator(rule, place, '`from`, `to`, `atLeast` or `atMost`')]
        : checkBounds(fact, rule, place)
    case 'flag':
      return rule.equals === undefined ? [noOperator(rule, place, '`equals`')] : []
    case 'qualifications':
      return rule.hasInForceOn === undefined
        ? [noOperator(rule, place, '`hasInForceOn` with `anyOf`')]
        : emptyList(rule.anyOf, member('anyOf'))
    case 'certificates':
      return rule.validOn === undefined
        ? [noOperator(rule, place, '`validOn` with `for`')]
        : emptyList(rule.for, member('for'))
  }
}

const noOperator = ({ id, fact }: Rule, place: RulePlace, takes: string): Contradiction =>
  contradiction('no-operator', `Rule '${id}' asks nothing of ${fact}, which takes ${takes}.`, place)

const emptyList = (list: readonly string[] | undefined, at: RulePlace): Contradiction[] =>
  list === undefined || list.length === 0
    ? [contradiction('nothing-allowed', `Rule '${at.id}' allows nothing, so that no test is ever eligible.`, at)]
    : []

function checkCodes(fact: FactName, codes: readonly string[], at: RulePlace): Contradiction[] {
  const kind = factKind(fact)
  if (kind.kind !== 'code') return [contradiction('no-operator', `${fact} is not one of some codes.`, at)]
  const { values } = kind
  const strange = values === undefined ? [] : codes.filter((code) => !values.includes(code))
  if (strange.length > 0) {
    const message = `${fact} is never ${strange.join(', ')}; it is ${values!.join(' or ')}.`
    return [contradiction('nothing-allowed', message, at)]
  }
  return emptyList(codes, at)
}

/** Two ends of one rule, each with its own place. */
function checkBounds(fact: FactName, bounds: Bounds, at: RulePlace): Contradiction[] {
  const ends = boundsOf(bounds).map(([word, bound]) => ({
    word,
    place: { ...at, pointer: `${at.pointer}/${word}` },
    value: boundValue(bound, fact),
  }))
  const wrong = ends.flatMap(({ value, place }) =>
    typeof value === 'string' ? contradiction('unit-does-not-fit', `Rule '${at.id}': ${value}.`, place) : [],
  )
  if (wrong.length > 0) return wrong
  const leasts = ends.filter(({ word }) => word === 'from' || word === 'atLeast')
  const mosts = ends.filter(({ word }) => word !== 'from' && word !== 'atLeast')
  return leasts.flatMap((least) =>
    mosts.flatMap((most) => {
      const fits = most.word === 'below' ? least.value < most.value : least.value <= most.value
      const message = `Rule '${at.id}' asks for ${fact} ${boundsText(bounds)}, which nothing is.`
      return fits ? [] : contradiction('from-above-to', message, least.place, most.place)
    }),
  )
}

/** A reading that can only be had with some values of a fact, of which another rule accepts none. */
export function checkReadings(rules: RuleSetContent): Contradiction[] {
  return placed('/readings', rules.readings).flatMap(({ rule, place }) => {
    const { fact, values } = GIVEN_BY[rule.needs]!
    const asked = rule.when?.[fact]
    const own = asked === undefined ? undefined : codesOf(asked)
    const giving = values.filter((value) => own?.includes(value) ?? true)
    const needs = { ...place, pointer: `${place.pointer}/needs` }
    if (giving.length === 0) {
      const message = `Rule '${rule.id}' asks for ${rule.needs} where ${fact} is ${own!.join(', ')}; it takes ${values.join(' or ')}.`
      return contradiction('reading-impossible', message, needs, { ...place, pointer: `${place.pointer}/when/${fact}` })
    }
    return factRules(rules).flatMap((other) => {
      const accepted = other.rule.fact === fact ? other.rule.in : undefined
      // What the reading rule leaves out is asked of nobody else, so only what it meets matters.
      const met = accepted?.filter((value) => own?.includes(value) ?? true)
      if (met === undefined || accepted!.length === 0 || met.some((value) => values.includes(value))) return []
      const message = `Rule '${rule.id}' asks for ${rule.needs}, which takes ${fact} ${values.join(' or ')}; rule '${other.rule.id}' accepts ${accepted!.join(', ')}.`
      return contradiction('reading-impossible', message, needs, {
        ...other.place,
        pointer: `${other.place.pointer}/in`,
      })
    })
  })
}
