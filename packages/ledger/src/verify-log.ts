/** Of a bundle, what is about the log as a whole: who signed its checkpoint, and which earlier one it continues. */
import type { BundleSignature, Found, VerifyOptions } from './bundle-report.ts'
import { toHex } from './bytes.ts'
import { type Checkpoint, parseCheckpoint } from './checkpoint.ts'
import { VerificationError } from './errors.ts'
import { verifyConsistency } from './merkle.ts'
import { cosignatureTime, type Note, parseNote, signatureFits, verifyNote } from './note.ts'
import type { ReadBundle } from './read-bundle.ts'
import type { VerifierKey } from './verifier-key.ts'

/** What a step gives; undefined, and noted, if it refuses. */
export function attempt<T>(found: Found[], step: () => T): T | undefined {
  try {
    return step()
  } catch (error) {
    if (!(error instanceof VerificationError)) throw error
    found.push({ code: error.code, message: error.message })
    return undefined
  }
}

export interface Signed {
  readonly checkpoint: Checkpoint
  readonly signatures: readonly BundleSignature[]
}

/** Reads a checkpoint and verifies who signed it; undefined if it can't be read. */
export async function verifyCheckpoint(
  note: string,
  keys: readonly VerifierKey[],
  found: Found[],
): Promise<Signed | undefined> {
  const checkpoint = attempt(found, () => parseCheckpoint(parseNote(note).body))
  if (checkpoint === undefined) return undefined
  const { origin } = checkpoint
  try {
    const signers = await verifyNote(note, keys)
    if (!signers.some(({ name, type }) => name === origin && type === 1)) {
      found.push({
        code: 'log-signature-missing',
        message: `The checkpoint is signed by ${signers.map(({ name }) => `'${name}'`).join(', ')}, but not by the log '${origin}' under a given key.`,
      })
    }
  } catch (error) {
    if (!(error instanceof VerificationError)) throw error
    found.push({ code: error.code, message: error.message })
  }
  return { checkpoint, signatures: await signaturesOf(parseNote(note), origin, keys) }
}

/** Each signature for itself: where one is wrong, others may still be right. */
function signaturesOf(
  { body, signatures }: Note,
  origin: string,
  keys: readonly VerifierKey[],
): Promise<BundleSignature[]> {
  return Promise.all(
    signatures.map(async (one): Promise<BundleSignature> => {
      const { name, id, signature } = one
      const key = keys.find((given) => given.name === name && given.id === id)
      if (key === undefined) return { name, by: 'unknown' }
      if (!(await signatureFits(body, one, key))) return { name, by: 'does-not-fit' }
      if (key.type === 1) return { name, by: name === origin ? 'log' : 'witness' }
      return { name, by: 'witness', at: timeOf(cosignatureTime(signature)!) }
    }),
  )
}

/** RFC 3339 of a POSIX time; the number where no calendar reaches. */
function timeOf(seconds: bigint): string {
  const date = new Date(Number(seconds) * 1000)
  return Number.isNaN(date.getTime()) ? `${seconds} s` : date.toISOString()
}

/** Whether the log continues the earlier checkpoint of the bundle, and the one that was kept; the size of the earlier one. */
export async function verifyContinuity(
  { earlier }: ReadBundle,
  later: Checkpoint,
  { keys, sinceCheckpoint: kept }: VerifyOptions,
  found: Found[],
): Promise<number | undefined> {
  const proof = earlier?.consistency ?? []
  const continues = ({ size: oldSize, root: oldRoot }: Checkpoint): boolean =>
    attempt(found, () => {
      verifyConsistency({ oldSize, oldRoot, newSize: later.size, newRoot: later.root, proof })
      return true
    }) ?? false
  let shown: Checkpoint | undefined
  if (earlier !== undefined) {
    shown = (await verifyCheckpoint(earlier.checkpoint, keys, found))?.checkpoint
    if (shown !== undefined && shown.origin !== later.origin) {
      found.push({
        code: 'checkpoint-of-another-log',
        message: `The earlier checkpoint in the file is of the log '${shown.origin}', the later one of '${later.origin}'.`,
      })
      shown = undefined
    }
    if (shown !== undefined && !continues(shown)) shown = undefined
  }
  if (kept !== undefined) compareWithKept({ kept, later, shown }, found)
  return shown?.size
}

/** Holds the bundle against the checkpoint that its reader kept. */
function compareWithKept(
  { kept, later, shown }: { kept: Checkpoint; later: Checkpoint; shown: Checkpoint | undefined },
  found: Found[],
): void {
  if (kept.origin !== later.origin) {
    found.push({
      code: 'checkpoint-of-another-log',
      message: `The checkpoint that was kept is of the log '${kept.origin}', the file is about '${later.origin}'.`,
    })
    return
  }
  const sameRoot = (other: Checkpoint): boolean => other.size === kept.size && toHex(other.root) === toHex(kept.root)
  if (sameRoot(later) || (shown !== undefined && sameRoot(shown)) || kept.size === 0) return
  if (later.size === kept.size || shown?.size === kept.size) {
    found.push({
      code: 'consistency-wrong',
      message: `The log had another root at ${kept.size} entries than in the checkpoint that was kept: it was changed since.`,
    })
    return
  }
  found.push({
    code: 'consistency-missing',
    message:
      later.size < kept.size
        ? `The file is older than the checkpoint that was kept: ${later.size} entries against ${kept.size}. Fetch it again.`
        : `The file does not show that the log of ${later.size} entries continues the kept one of ${kept.size}. Fetch it again with ?since=${kept.size}: then it holds that proof.`,
  })
}
