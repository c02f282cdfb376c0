/** Who wrote and who published a rule set, as it is hashed: the door for the audit, which hashes it again. */
import { canonicalBytes } from '@liftledger/ledger'

/** Codes of the authors, in the order in which they came, and of the publisher, as canonical JSON. */
export const peopleBytes = (authors: readonly string[], publisher: string): Buffer =>
  Buffer.from(canonicalBytes({ authors: [...authors], publisher }))
