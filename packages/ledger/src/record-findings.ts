/**
 * What comparing a test with the record found, as it is hashed: one spelling, for whoever writes and whoever verifies.
 *
 * What a finding rests on, which tests and which of their figures, is not for everybody who may read the finding: of it
 * the text has a hash under the same salt, so that it can be shown, or kept back, without another hash.
 */
import { sha256Hex } from '#sha256'
import type { FoundInRecord } from './bundle-report.ts'
import { canonicalBytes } from './canonical-json.ts'
import { entryMembers } from './test-entry.ts'

/** One finding, in words that name no other test. */
export interface RecordFindingText {
  /** Id of the finding in the catalogue. */
  readonly id: string
  readonly severity: string
  readonly run?: number
  /** JSON Pointer into the sheet. */
  readonly place: string
  readonly message: string
  readonly remedy: string
  /** Figures of the test itself that it used. */
  readonly values: readonly unknown[]
  /** Limits of the edition that they were held against. */
  readonly limits: readonly unknown[]
  /** Of what it rests on; see {@link basisSha256}. */
  readonly basisSha256: string
}

export interface RecordFindingsText {
  /** Id of the test, `tst_…`. */
  readonly test: string
  /** Index of the test’s own entry. */
  readonly before: number
  readonly edition: string
  readonly findings: readonly RecordFindingText[]
}

/** Canonical bytes of the findings of one test. */
export const recordFindingsBytes = (text: RecordFindingsText): Uint8Array => canonicalBytes({ v: 1, ...text })

/** SHA-256 over the salt of the comparison and what a finding rests on: ids of other tests, and figures of theirs. */
export const basisSha256 = (
  salt: Uint8Array,
  basis: { readonly against: readonly string[]; readonly values: readonly unknown[] },
): string => sha256Hex(salt, canonicalBytes(basis))

/** The findings in canonical text; undefined where it is spelled otherwise or is about another test. */
export function foundInRecord(text: string, test: string): FoundInRecord[] | undefined {
  const members = entryMembers(text)
  if (members?.v !== 1 || members.test !== test || !Array.isArray(members.findings)) return undefined
  return (members.findings as RecordFindingText[]).map(({ id, severity, run, place, message }) => ({
    finding: String(id),
    severity: String(severity),
    ...(typeof run === 'number' && { run }),
    place: String(place),
    message: String(message),
  }))
}
