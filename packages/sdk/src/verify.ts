/**
 * The entry "./verify": whether a bundle proves what it says, on the spot and without a network.
 *
 * Signature of the log → its entries are in the log → sheets and contexts are those that were received → the same
 * calculation gives the same evaluation, to the last bit.
 */
import { type Context, type Evaluation, editionById, evaluate, type Sheet } from '@liftledger/calc'
import {
  type BundleReport,
  canonicalBytes,
  type Describe,
  parseCheckpoint,
  parseNote,
  parseVerifierKey,
  type Replay,
  type TestDetails,
  type VerifierKey,
  verifyBundle as verifyOffline,
} from '@liftledger/ledger'

export {
  type BundleProblem,
  type BundleReport,
  type BundleSignature,
  type Caveats,
  decisionsThatCount,
  formatVerifierKey,
  type LaterEntry,
  parseReceipt,
  parseVerifierKey,
  type Receipt,
  type TestDetails,
  type VerificationCode,
  VerificationError,
  type VerifiedTest,
  type VerifierKey,
  verificationCodes,
  verifyReceipt,
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

/** What this version’s calculation makes of sheets as they were received, and what they are known by. */
function calculation(): { readonly replay: Replay; readonly describe: Describe } {
  // Of a sheet that was just evaluated: so it is parsed once.
  const known = new WeakMap<Uint8Array, { readonly sheet: Sheet; readonly evaluation: Evaluation }>()
  return {
    replay: (raw, context, edition) => {
      const method = editionById(edition)
      if (method === undefined) return undefined
      const sheet = parsed(raw) as Sheet
      const evaluation = evaluate(sheet, parsed(context) as Context, method)
      const bytes = canonicalBytes(evaluation)
      known.set(bytes, { sheet, evaluation })
      return bytes
    },
    describe: (raw, bytes) => {
      const own = bytes && known.get(bytes)
      return detailsOf(own?.sheet ?? (parsed(raw) as Sheet), own?.evaluation)
    },
  }
}

function detailsOf(sheet: Sheet, evaluation: Evaluation | undefined): TestDetails | undefined {
  const { plant, tester, testedOn, normalRun = 0 } = sheet
  // The log vouches for the bytes, not for their being a sheet.
  if (![plant, tester, testedOn].every((text) => typeof text === 'string')) return undefined
  const isEfficiency = ({ run, quantity }: { readonly run: number; readonly quantity: string }): boolean =>
    run === normalRun && quantity === 'overall-plant-efficiency'
  const result = evaluation?.results.find(isEfficiency)
  const withheld = evaluation?.withheld.find(isEfficiency)
  return {
    ...{ plant, tester, testedOn },
    ...(evaluation && { soundness: evaluation.soundness }),
    ...(result && {
      overallPlantEfficiency: { value: result.value, expandedUncertainty: result.expandedUncertainty },
    }),
    ...(withheld && result === undefined && { efficiencyWithheld: withheld.because }),
  }
}

/**
 * Verifies a bundle, as `GET /v1/ledger/bundle/{id}` gave it, byte for byte. What is wrong with it stands in the
 * report, with code, sentence, line and test; nothing is thrown for it.
 *
 * @throws VerificationError if a given key or the kept checkpoint is not spelled as one.
 */
export async function verifyBundle(bytes: Uint8Array, options: VerifyBundleOptions): Promise<BundleReport> {
  const { keys, sinceCheckpoint } = options
  const { replay, describe } = calculation()
  return verifyOffline(bytes, {
    keys: keys.map((key) => (typeof key === 'string' ? parseVerifierKey(key.trim()) : key)),
    ...(options.replay !== false && { replay }),
    describe,
    ...(sinceCheckpoint !== undefined && { sinceCheckpoint: parseCheckpoint(parseNote(sinceCheckpoint).body) }),
  })
}
