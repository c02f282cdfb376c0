/**
 * The entry "./verify": whether a bundle proves what it says, on the spot and without a network.
 *
 * Signature of the log → its entries are in the log → sheets and contexts are those that were received → the same
 * calculation gives the same evaluation, to the last bit.
 */
import { type Context, editionById, evaluate, type Sheet } from '@liftledger/calc'
import {
  type BundleReport,
  canonicalBytes,
  parseCheckpoint,
  parseNote,
  parseVerifierKey,
  type Replay,
  type VerifierKey,
  verifyBundle as verifyOffline,
} from '@liftledger/ledger'

export {
  type BundleProblem,
  type BundleReport,
  type BundleSignature,
  type VerificationCode,
  VerificationError,
  type VerifiedTest,
  type VerifierKey,
  verificationCodes,
} from '@liftledger/ledger'

export interface VerifyBundleOptions {
  /**
   * Keys to hold signatures against, as text (`name+id+key`) or parsed: the log’s, and those of witnesses you trust.
   * Have them from somewhere else than the bundle.
   */
  readonly keys: readonly (string | VerifierKey)[]
  /** Evaluate each sheet again; true if absent. */
  readonly replay?: boolean
  /** Signed note of a checkpoint that you kept: the bundle must show that its log continues it. */
  readonly sinceCheckpoint?: string
}

const decoder = new TextDecoder('utf-8', { fatal: true })
const parsed = (bytes: Uint8Array): unknown => JSON.parse(decoder.decode(bytes))

/** What this version’s calculation makes of a sheet as it was received. */
const replay: Replay = (raw, context, edition) => {
  const method = editionById(edition)
  if (method === undefined) return undefined
  return canonicalBytes(evaluate(parsed(raw) as Sheet, parsed(context) as Context, method))
}

/**
 * Verifies a bundle, as `GET /v1/ledger/bundle/{id}` gave it, byte for byte. What is wrong with it stands in the
 * report, with code, sentence, line and test; nothing is thrown for it.
 *
 * @throws VerificationError if a given key or the kept checkpoint is not spelled as one.
 */
export async function verifyBundle(bytes: Uint8Array, options: VerifyBundleOptions): Promise<BundleReport> {
  const { keys, sinceCheckpoint } = options
  return verifyOffline(bytes, {
    keys: keys.map((key) => (typeof key === 'string' ? parseVerifierKey(key.trim()) : key)),
    ...(options.replay !== false && { replay }),
    ...(sinceCheckpoint !== undefined && { sinceCheckpoint: parseCheckpoint(parseNote(sinceCheckpoint).body) }),
  })
}
