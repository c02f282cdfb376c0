/** What is wrong with a rule set: each fault names the rules it lies between, by id and JSON Pointer. */

export const CONTRADICTION_CODES = {
  'unknown-fact': 'A rule names a fact that there is not.',
  'unknown-finding': 'A finding is named that the catalogue does not have.',
  'unknown-limit': 'A limit is named that the finding does not have.',
  'unknown-edition': 'The method edition is not one of this service.',
  'id-twice': 'Two rules have one id.',
  'no-operator': 'A rule asks nothing of its fact, or what its fact can not be asked.',
  'unit-does-not-fit': 'A value has no unit, or one that does not fit.',
  'from-above-to': 'The least is above the most.',
  'nothing-allowed': 'A list of what is allowed is empty, or holds nothing that the fact can be.',
  'window-reversed': 'A window ends before it begins.',
  'amounts-overlap': 'Two amounts are for one test.',
  'no-amount': 'No amount is for a plant that is eligible.',
  'severity-lowered': 'A severity is lowered, or raised further than a program may.',
  'limit-fixed': 'A limit is changed that a program may not change, or not that way.',
  'reading-impossible': 'A reading is asked for that the accepted plants or methods can not give.',
  'cap-below-amount': 'A cap is lower than the smallest amount.',
  'versions-overlap': 'Two versions of the program are in force on one day.',
  'gap-not-stated': 'Days between two versions are covered by neither, and no pause is stated.',
  'version-not-next': 'The version does not count on from the one before it.',
  'program-cap-below-customer-cap': 'The program may spend less than one customer.',
  'count-cap-never-binds': 'A count is never reached, since tests are further apart than the version lasts.',
  'in-force-before-publication': 'Tests of days before today are judged anew by it.',
} as const

export type ContradictionCode = keyof typeof CONTRADICTION_CODES
export const WARNINGS: readonly ContradictionCode[] = [
  'program-cap-below-customer-cap',
  'count-cap-never-binds',
  'in-force-before-publication',
]

/** A place in the rule set, or in another version of it. */
export interface RulePlace {
  readonly id?: string
  /** JSON Pointer into the rule set. */
  readonly pointer: string
  /** The other version, where it is not this one. */
  readonly version?: number
}

export interface Contradiction {
  readonly code: ContradictionCode
  readonly severity: 'refused' | 'warning'
  /** What was found, with its values. */
  readonly message: string
  /** Both of them; one where a rule contradicts itself or the catalogue. */
  readonly rules: readonly RulePlace[]
}

export const contradiction = (code: ContradictionCode, message: string, ...rules: RulePlace[]): Contradiction => ({
  code,
  severity: WARNINGS.includes(code) ? 'warning' : 'refused',
  message,
  rules,
})
