/**
 * A finding is declared once: when it is raised, what it says, what to do, where it comes from,
 * and examples that pass and that raise. The catalogue, the documentation and the tests follow from it.
 */

import type { CautionId } from '../cautions.ts'
import type { edition20261 } from '../editions/2026-1.ts'
import type { Limit } from '../editions/edition.ts'
import type { Severity } from '../evaluation.ts'
import type { Source } from '../formula.ts'
import type { Purpose } from '../purposes.ts'
import type { QuantityId } from '../quantities.ts'
import type { LeftOut } from '../sheet.ts'
import type { FactName, Facts, FactType } from './facts.ts'
import type { Say } from './say.ts'

/** Name of a threshold of the edition. */
export type LimitName = keyof (typeof edition20261)['limits']

/** Facts with those in `N` present. */
type Given<N extends FactName> = Facts & { [K in N]: FactType<K> }

export const FINDING_GROUPS = [
  'completeness',
  'identity',
  'time',
  'levels',
  'pressure',
  'flow',
  'power',
  'results',
  'uncertainty',
  'integrity',
] as const

interface FindingDeclaration<N extends FactName = FactName, L extends LimitName = LimitName> {
  /** Same as the file’s name. Ids are never reused. */
  readonly id: string
  readonly group: (typeof FINDING_GROUPS)[number]
  readonly severity: Severity
  /** JSON Pointer into the sheet; `*` stands for the run. */
  readonly place: string
  /** Decided from the sheet alone, or also from the context. */
  readonly decidedFrom: 'sheet' | 'context'
  /** Raised once over the whole visit, when all its runs are known; else by run, or with the first run. */
  readonly scope?: 'visit'
  /** Purposes of a visit that promise what this asks for; any if absent. */
  readonly promisedBy?: readonly Purpose[]
  /** One sentence: the rule. */
  readonly rule: string
  /** Why it matters. */
  readonly why: string
  /** Facts without which the finding does not run. */
  readonly needs: readonly N[]
  readonly limits: readonly L[]
  /** Limits are in SI. */
  readonly raised: (facts: Given<N>, limits: Readonly<Record<L, number>>) => boolean
  readonly message: (facts: Given<N>, say: Say, limits: Readonly<Record<L, number>>) => string
  readonly remedy: string
  /** What can hurt where this is found, or where its remedy is carried out. */
  readonly cautions?: readonly CautionId[]
  readonly source: Source
  /** Name used in `leftOut` of the reading whose absence raises this: left out with a reason, it is a caution at most. */
  readonly absenceOf?: LeftOut['reading']
  /** Quantities that are not reported while this stands, with all that follows from them. */
  readonly spoils?: readonly QuantityId[]
  /** Findings that only follow from this one and are not raised beside it. */
  readonly silences?: readonly string[]
  readonly examples: { readonly passes: readonly Facts[]; readonly raises: readonly Facts[] }
}

/** Finding with its names forgotten, as the list holds it. */
export type AnyFinding = FindingDeclaration<never, never>

/** Declares a finding. */
export function defineFinding<const N extends FactName, const L extends LimitName = never>(
  declaration: FindingDeclaration<N, L>,
): AnyFinding {
  return declaration as unknown as AnyFinding
}

/** Comparing with a limit: a value at the limit passes, rounding of the binary fraction included. */
export const exceeds = (value: number, limit: number): boolean => value > limit + Math.abs(limit) * 1e-9
export const fallsShort = (value: number, limit: number): boolean => value < limit - Math.abs(limit) * 1e-9

/** True if a value stands clear of zero: it exceeds so many of its standard uncertainties. */
export const isResolved = (value: number, u: number, coverage: number): boolean => exceeds(value, coverage * u)

/** SI values of the limits a finding names. */
export function limitValues(
  finding: { readonly limits: readonly string[] },
  limits: Readonly<Record<string, Limit>>,
): Readonly<Record<never, number>> {
  const values: Record<string, number> = {}
  for (const name of finding.limits) values[name] = limits[name]!.si
  return values
}
