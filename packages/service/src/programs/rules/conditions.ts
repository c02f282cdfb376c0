/** What rules ask of facts, decided in three values: a fact that is missing decides nothing, and never fails. */
import { boundText, boundValue } from './bounds.ts'
import { type FactName, isFact } from './facts.ts'
import type { Bound, Span, When } from './schema-parts.ts'

export const OUTCOMES = ['met', 'not-met', 'not-decidable'] as const
export type Outcome = (typeof OUTCOMES)[number]

/** All of them: one that is not met decides, else one that is missing. */
export const allOf = (outcomes: readonly Outcome[]): Outcome =>
  outcomes.includes('not-met') ? 'not-met' : outcomes.includes('not-decidable') ? 'not-decidable' : 'met'

/** One of them: one that is met decides, else one that is missing. */
export const anyOf = (outcomes: readonly Outcome[]): Outcome =>
  outcomes.includes('met') ? 'met' : outcomes.includes('not-decidable') ? 'not-decidable' : 'not-met'

export const outcomeOf = (is: boolean): Outcome => (is ? 'met' : 'not-met')

/** Where a value stands that a fact was read from. */
export interface Address {
  readonly document: 'sheet' | 'context' | 'evaluation' | 'consent' | 'tests'
  /** JSON Pointer into the document. */
  readonly pointer: string
}

/** One reading of a fact: numbers in SI, counts and days as they are. */
export interface ReadValue extends Address {
  readonly value: string | number | boolean
  readonly unit?: string
}

/** A fact of one test: every place it was read from, or why it is not there. */
export interface FactRead {
  readonly fact: string
  readonly values: readonly ReadValue[]
  /** What is missing. Some places may be missing where others are there. */
  readonly missing?: string
  /** The true number may be smaller than the one read, never larger. */
  readonly atMost?: true
}

export type ReadFact = (name: FactName) => FactRead

const SPANS = ['from', 'atLeast', 'to', 'atMost', 'below'] as const
type SpanWord = (typeof SPANS)[number]
export type Bounds = { readonly [K in SpanWord]?: Bound | undefined }

/** Bounds of a rule or a condition that are there, with the word each was written with. */
export const boundsOf = (bounds: Bounds): (readonly [word: SpanWord, bound: Bound])[] =>
  SPANS.flatMap((word) => (bounds[word] === undefined ? [] : [[word, bounds[word]] as const]))

/** Comparing as findings do: a value at its limit passes, rounding of the binary fraction included. */
const slack = (limit: number): number => Math.abs(limit) * 1e-9

export function keeps(value: number, word: SpanWord, limit: number): boolean {
  if (word === 'from' || word === 'atLeast') return value >= limit - slack(limit)
  if (word === 'below') return value < limit - slack(limit)
  return value <= limit + slack(limit)
}

/** Whether every value that was read keeps the bounds. */
export function spanOutcome(read: FactRead, bounds: Bounds): Outcome {
  const outcomes = read.values.flatMap(({ value }) =>
    boundsOf(bounds).map(([word, bound]): Outcome => {
      const limit = isFact(read.fact) ? boundValue(bound, read.fact) : 'unknown'
      if (typeof limit === 'string' || typeof value !== 'number') return 'not-decidable'
      const kept = keeps(value, word, limit)
      // Smaller still may be true: then only what is too small is certain, and what is small enough.
      if (read.atMost && (word === 'from' || word === 'atLeast') && kept) return 'not-decidable'
      if (read.atMost && !(word === 'from' || word === 'atLeast') && !kept) return 'not-decidable'
      return outcomeOf(kept)
    }),
  )
  return allOf([...outcomes, ...missingOutcome(read)])
}

export const codeOutcome = (read: FactRead, allowed: readonly string[]): Outcome =>
  allOf([...read.values.map(({ value }) => outcomeOf(allowed.includes(String(value)))), ...missingOutcome(read)])

export const missingOutcome = ({ values, missing }: FactRead): Outcome[] =>
  missing !== undefined || values.length === 0 ? ['not-decidable'] : []

export const codesOf = (wanted: When[string]): readonly string[] | undefined =>
  typeof wanted === 'string' ? [wanted] : Array.isArray(wanted) ? wanted : undefined

/** Whether the rule applies to the test. */
export function whenOutcome(when: When | undefined, read: ReadFact): Outcome {
  return allOf(
    Object.entries(when ?? {}).map(([name, wanted]) => {
      if (!isFact(name)) return 'not-decidable'
      const codes = codesOf(wanted)
      return codes === undefined ? spanOutcome(read(name), wanted as Span) : codeOutcome(read(name), codes)
    }),
  )
}

const WORDS = { from: 'from', atLeast: 'at least', to: 'to', atMost: 'at most', below: 'below' } as const

export const boundsText = (bounds: Bounds): string =>
  boundsOf(bounds)
    .map(([word, bound]) => `${WORDS[word]} ${boundText(bound)}`)
    .join(' ')
