/** Public surface of the ledger package. */
export { sha256 } from '#sha256'
export { canonicalBytes, canonicalJson, NotCanonicalError } from './canonical-json.ts'
export {
  ENTRY_BYTES_MAX,
  type Entry,
  EntryError,
  entryBytes,
  leafHash,
  type NoteEntry,
  type NoteErasedEntry,
  type SigningKeyEntry,
  type TestEntry,
} from './entry.ts'
