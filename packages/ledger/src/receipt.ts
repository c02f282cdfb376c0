/**
 * Receipts: the log’s signed promise, given at once, that an entry stands at its place for good.
 *
 * Entries that were stored together are promised together: one signature over the root of the small tree that their
 * leaves make up, and for each the path to that root. So a receipt costs a hash rather than a signature.
 */
import { verifyEd25519 } from '#ed25519'
import { fromBase64, toBase64, utf8 } from './bytes.ts'
import { VerificationError } from './errors.ts'
import { HASH_BYTES, nodeHash, rootOfInclusion } from './merkle.ts'
import type { Signer, VerifierKey } from './verifier-key.ts'

/** First line of what is signed; no checkpoint begins so, hence neither can pass for the other. */
export const RECEIPT_TITLE = 'liftledger-receipt/v1'

/** What a signature is over: `count` entries from `first` on, whose leaves have that root. */
export interface ReceiptContent {
  /** Name of the log and of its key. */
  readonly origin: string
  readonly first: number
  readonly count: number
  /** Root of the tree of these leaves alone (RFC 6962, 2.1). */
  readonly root: Uint8Array
  /** When it was signed, RFC 3339 in UTC with milliseconds. */
  readonly at: string
}

export interface Receipt extends Omit<ReceiptContent, 'root'> {
  /** Place of the entry in the log, and hash of its leaf. */
  readonly index: number
  readonly leafHash: Uint8Array
  /** Leads from the leaf to the root that was signed, lowest first. */
  readonly path: readonly Uint8Array[]
  /** Id of the key that signed, to find it among the log’s keys. */
  readonly keyId: number
  /** Ed25519, 64 bytes. */
  readonly signature: Uint8Array
}

/** What a receipt’s signature is over: six lines. */
export function receiptBytes({ origin, first, count, root, at }: ReceiptContent): Uint8Array {
  return utf8(`${RECEIPT_TITLE}\n${origin}\n${first}\n${count}\n${toBase64(root)}\n${at}\n`)
}

/** Receipts for entries that stand one after the other from `first` on: one signature, and a path for each. */
export function signReceipts(
  signer: Signer,
  {
    first,
    leafHashes,
    at,
  }: { readonly first: number; readonly leafHashes: readonly Uint8Array[]; readonly at: string },
): Receipt[] {
  if (leafHashes.length === 0) return []
  const levels: (readonly Uint8Array[])[] = [leafHashes]
  for (let below = leafHashes; below.length > 1; levels.push(below)) below = pairUp(below)
  const { name: origin, id: keyId } = signer.key
  const content = { origin, first, count: leafHashes.length, at }
  const signature = signer.sign(receiptBytes({ ...content, root: levels.at(-1)![0]! }))
  return leafHashes.map((leafHash, place) => ({
    ...content,
    index: first + place,
    leafHash,
    path: sisters(levels, place),
    keyId,
    signature,
  }))
}

/** The level above; a last one without a sister goes up as it is. */
function pairUp(hashes: readonly Uint8Array[]): Uint8Array[] {
  const above: Uint8Array[] = []
  for (let i = 0; i < hashes.length; i += 2) {
    const right = hashes[i + 1]
    above.push(right === undefined ? hashes[i]! : nodeHash(hashes[i]!, right))
  }
  return above
}

function sisters(levels: readonly (readonly Uint8Array[])[], place: number): Uint8Array[] {
  return levels.flatMap((level, height) => {
    const at = Math.floor(place / 2 ** height)
    return level[at % 2 === 0 ? at + 1 : at - 1] ?? []
  })
}

/** Receipts as JSON, each on one line, in ASCII: fit for a header field. */
export function formatReceipts(receipts: readonly Receipt[]): string[] {
  // Receipts that were signed together share most of their hashes, which are spelled once.
  const spelled = new Map<Uint8Array, string>()
  const encode = (bytes: Uint8Array): string => {
    const known = spelled.get(bytes)
    if (known !== undefined) return known
    const text = toBase64(bytes)
    spelled.set(bytes, text)
    return text
  }
  return receipts.map(({ leafHash, path, keyId, signature, ...rest }) =>
    JSON.stringify({
      ...rest,
      leafHash: encode(leafHash),
      path: path.map(encode),
      keyId: keyId.toString(16).padStart(8, '0'),
      signature: encode(signature),
    }),
  )
}

/** Reads one of those that {@link formatReceipts} wrote. Throws `receipt-malformed`. */
export function parseReceipt(text: string): Receipt {
  const { origin, first, count, at, index, leafHash, path, keyId, signature } = membersOf(text)
  const isText = (value: unknown): value is string => typeof value === 'string' && !value.includes('\n')
  const isCount = (value: unknown): value is number => Number.isSafeInteger(value)
  if (!isText(origin) || !isText(at) || !isCount(first) || !isCount(count) || !isCount(index)) throw malformed()
  if (!isText(keyId) || !/^[0-9a-f]{8}$/.test(keyId) || !Array.isArray(path)) throw malformed()
  return {
    origin,
    first,
    count,
    at,
    index,
    leafHash: bytesOf(leafHash),
    path: path.map(bytesOf),
    keyId: Number.parseInt(keyId, 16),
    signature: bytesOf(signature),
  }
}

function membersOf(text: string): Readonly<Record<string, unknown>> {
  try {
    const value: unknown = JSON.parse(text)
    if (typeof value === 'object' && value !== null) return value as Record<string, unknown>
  } catch {
    // Told below.
  }
  throw malformed()
}

function bytesOf(value: unknown): Uint8Array {
  const bytes = typeof value === 'string' ? fromBase64(value) : undefined
  if (bytes === undefined) throw malformed()
  return bytes
}

const malformed = (): VerificationError =>
  new VerificationError(
    'receipt-malformed',
    'The receipt can not be read: it is not the JSON object that came with the answer, with hashes and signature in base 64.',
  )

/**
 * Throws `key-unknown` if the key is another log’s, `signature-wrong` if it did not sign this, `proof-length`,
 * `hash-malformed` or `index-outside-tree` if the path does not lead from this entry to what was signed.
 */
export async function verifyReceipt(receipt: Receipt, key: VerifierKey): Promise<void> {
  const { origin, first, count, index, leafHash, path, at, signature } = receipt
  if (key.name !== origin || key.type !== 1) {
    throw new VerificationError('key-unknown', `The receipt is of the log '${origin}', the key is of '${key.name}'.`)
  }
  const root = rootOfInclusion({ leafHash, index: index - first, size: count, proof: path })
  // A line break in a member would let two receipts have the same bytes.
  const readable = [origin, at].every((text) => !text.includes('\n')) && root.length === HASH_BYTES
  if (!readable || !(await verifyEd25519(key.publicKey, receiptBytes({ origin, first, count, root, at }), signature))) {
    throw new VerificationError(
      'signature-wrong',
      `The receipt for entry ${index} was not signed by the key of '${key.name}', or is not as it was signed.`,
    )
  }
}
