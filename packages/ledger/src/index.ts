/** Public surface of the ledger package. */
export { sha256 } from '#sha256'
export { canonicalBytes, canonicalJson, NotCanonicalError } from './canonical-json.ts'
export {
  ENTRY_BYTES_MAX,
  type Entry,
  EntryError,
  entryBytes,
  type FindingDecisionEntry,
  type FindingDecisionErasedEntry,
  leafHash,
  type NoteEntry,
  type NoteErasedEntry,
  type RevisionEntry,
  type TestEntry,
  type WithdrawalEntry,
} from './entry.ts'
