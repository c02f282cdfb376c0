/** Entries of what programs do: rules they publish, tests they draw to be tested again. */

/**
 * A program published a version of its rules. They are for everybody, so that their hash is bare; who wrote and who
 * published them stands in a salted one.
 */
export interface RuleSetEntry {
  readonly v: 1
  readonly kind: 'rule-set'
  readonly at: string
  /** Id of the program, `prg_…`. */
  readonly program: string
  /** Id of the rule set, `rls_…`. */
  readonly ruleSet: string
  /** Counts from 1 within the program. */
  readonly version: number
  /** SHA-256 of the rules as canonical JSON. */
  readonly contentSha256: string
  /** SHA-256 over the rule set’s own salt followed by the codes of the persons, as canonical JSON. */
  readonly peopleSha256: string
}

/**
 * A program announced that it will draw tests to be tested again. The seed is not known to anybody yet; its hash is, so
 * that nobody can choose another one later.
 */
export interface QualityDrawEntry {
  readonly v: 1
  readonly kind: 'quality-draw'
  readonly at: string
  /** Id of the program, `prg_…`. */
  readonly program: string
  /** Id of the draw, `qdr_…`. */
  readonly draw: string
  /** SHA-256 of the seed. */
  readonly seedSha256: string
  /** SHA-256 of the terms as canonical JSON: which tests, and which shares of them. */
  readonly termsSha256: string
  /** SHA-256 over the announcement’s own salt followed by the code of the person, as canonical JSON. */
  readonly peopleSha256: string
}

/** The draw was drawn, by another person: the seed, and the hash of what came of it. */
export interface QualityDrawingEntry {
  readonly v: 1
  readonly kind: 'quality-drawing'
  readonly at: string
  readonly program: string
  readonly draw: string
  /** The seed, as 64 lower-case hexadecimal digits. */
  readonly seed: string
  /** SHA-256 of the outcome as canonical JSON: every test considered, its chance, and whether it was drawn. */
  readonly outcomeSha256: string
  /** SHA-256 over the drawing’s own salt followed by the codes of both persons, as canonical JSON. */
  readonly peopleSha256: string
}

/** What became of one visit: assigned, tested again, or let go. What exactly stands in a salted hash. */
export interface QualityVisitStepEntry {
  readonly v: 1
  readonly kind: 'quality-visit-step'
  readonly at: string
  readonly program: string
  /** Id of the visit, `qvs_…`. */
  readonly visit: string
  /** Counts from 1 within the visit. */
  readonly turn: number
  /** SHA-256 over the step’s own salt followed by the step as canonical JSON. */
  readonly contentSha256: string
}
