/** The hash that freezes an evaluation: SHA-256 of its canonical JSON, in hexadecimal. */
import { editionById, evaluate } from '@liftledger/calc'
import type { GoldenCase } from '@liftledger/calc/testing'
import { canonicalBytes, sha256 } from '@liftledger/ledger'

/** What `hashes.json` of an edition holds. */
export interface FrozenHashes {
  /** True from the first release that carries the edition; then no hash may change again. */
  readonly released: boolean
  /** Hash by id of the case. */
  readonly hashes: Readonly<Record<string, string>>
}

export function evaluationHash(golden: GoldenCase, edition: string): string {
  const evaluation = evaluate(golden.sheet, golden.context, editionById(edition)!)
  return Buffer.from(sha256(canonicalBytes(evaluation))).toString('hex')
}
