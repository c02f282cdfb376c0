/**
 * A finding that is decided by comparing a test with the record is declared once, as those of a sheet are: when it is
 * raised, what it says, what to do, where it comes from, and examples that pass and that raise.
 */
import type { Limit } from '../editions/edition.ts'
import type { Finding, Severity } from '../evaluation.ts'
import type { FINDING_GROUPS, LimitName } from '../findings/finding.ts'
import type { Say } from '../findings/say.ts'
import type { Source } from '../formula.ts'
import type { Comparison } from './comparison.ts'

/** What one comparison has given. Numbers are in SI. */
export interface Figures {
  /** Tests compared with. */
  readonly against: readonly string[]
  /** True if one of them is of another firm, of which the subject’s firm is told nothing. */
  readonly ofOtherFirm: boolean
  /** Run of the subject, where it is about one. */
  readonly run?: number
  /** JSON Pointer, where it is narrower than that of the declaration. */
  readonly place?: string
}

interface RecordFindingDeclaration<F extends Figures, L extends LimitName> {
  /** Same as the file’s name. Ids are never reused. */
  readonly id: string
  readonly group: (typeof FINDING_GROUPS)[number]
  readonly severity: Severity
  /** JSON Pointer into the sheet; empty for the whole of it, `*` stands for the run. */
  readonly place: string
  /** One sentence: the rule. */
  readonly rule: string
  /** Why it matters. */
  readonly why: string
  /**
   * One set of figures for each comparison that the record allows, the most telling first. `beside` is what those
   * before it in the list have raised.
   */
  readonly compared: (comparison: Comparison, beside: readonly Finding[]) => readonly F[]
  /** Figures that are reported as values, with their SI unit. */
  readonly measures: { readonly [K in keyof F]?: string }
  /** Those of them that tell of the tests compared with. */
  readonly ofOthers?: readonly (keyof F & string)[]
  readonly limits: readonly L[]
  /** Limits are in SI. */
  readonly raised: (figures: F, limits: Readonly<Record<L, number>>) => boolean
  readonly message: (figures: F, say: Say, limits: Readonly<Record<L, number>>) => string
  readonly remedy: string
  readonly source: Source
  /** Findings that only follow from this one: not raised beside it against the same tests. */
  readonly silences?: readonly string[]
  readonly examples: { readonly passes: readonly F[]; readonly raises: readonly F[] }
}

/** Record finding with its names forgotten, as the list holds it. */
export type AnyRecordFinding = RecordFindingDeclaration<never, never>

/** Declares a finding that is decided from the record. */
export function defineRecordFinding<F extends Figures, const L extends LimitName = never>(
  declaration: RecordFindingDeclaration<F, L>,
): AnyRecordFinding {
  return declaration as unknown as AnyRecordFinding
}

/** A limit as a finding reports it. */
export const limitAsValue = ({ name, value, unit }: Limit) => ({ name, value, unit })
