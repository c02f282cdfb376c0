/** Public surface of the ledger package. */

export { verifyEd25519 } from '#ed25519'
export { sha256, sha256Hex } from '#sha256'
export {
  BUNDLE_END,
  BUNDLE_TITLE,
  type BundleContent,
  type BundledEntry,
  type BundledFindings,
  type BundledItem,
  type BundledTest,
  type BundleHead,
  bundleHead,
  bundleItem,
  makeBundle,
} from './bundle.ts'
export type {
  BundleProblem,
  BundleReport,
  BundleSignature,
  Caveats,
  Describe,
  FoundInRecord,
  LaterEntry,
  Replay,
  TestDetails,
  VerifiedTest,
  VerifyOptions,
} from './bundle-report.ts'
export { equalBytes, fromBase64, fromHex, toBase64, toHex } from './bytes.ts'
export { canonicalBytes, canonicalJson, NotCanonicalError } from './canonical-json.ts'
export { type Checkpoint, checkpointBody, parseCheckpoint } from './checkpoint.ts'
export type {
  QualityDrawEntry,
  QualityDrawingEntry,
  QualityVisitStepEntry,
  RuleSetEntry,
} from './entries-of-programs.ts'
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
  type ReadLogEntry,
  type RecordedEntry,
  type RecordFindingsEntry,
  type RevisionEntry,
  recordedEntryBytes,
  type SigningKeyEntry,
  type TestEntry,
  type WithdrawalEntry,
} from './entry.ts'
export { type VerificationCode, VerificationError, verificationCodes } from './errors.ts'
export { decisionsThatCount } from './later-entries.ts'
export {
  type Consistency,
  consistencyProof,
  EMPTY_ROOT,
  extend,
  HASH_BYTES,
  type Inclusion,
  inclusionProof,
  nodeHash,
  type ReadHash,
  rootAt,
  rootOf,
  rootOfInclusion,
  type TreeRange,
  verifyConsistency,
  verifyInclusion,
} from './merkle.ts'
export {
  addSignature,
  cosign,
  cosignatureTime,
  type Note,
  type NoteSignature,
  parseNote,
  signNote,
  verifyNote,
} from './note.ts'
export {
  formatReceipts,
  parseReceipt,
  type Receipt,
  type ReceiptContent,
  receiptBytes,
  signReceipts,
  verifyReceipt,
} from './receipt.ts'
export {
  basisSha256,
  type RecordFindingsText,
  type RecordFindingText,
  recordFindingsBytes,
} from './record-findings.ts'
export { rootOfShared, type SharedProof, sharedProof } from './shared-proof.ts'
export { type LoadTiles, TileReader } from './tile-reader.ts'
export {
  decodeEntries,
  encodeEntries,
  type HashTile,
  parseTilePath,
  readFromTiles,
  TILE_WIDTH,
  type Tile,
  tilePath,
  tilesOf,
} from './tiles.ts'
export {
  formatVerifierKey,
  parseVerifierKey,
  type SignatureType,
  type Signer,
  type VerifierKey,
  verifierKey,
} from './verifier-key.ts'
export { verifyBundle } from './verify-bundle.ts'
