/** Receipts: the log’s signed promise, given at once, that an entry stands at its place for good. */
import { verifyEd25519 } from '#ed25519'
import { toBase64, utf8 } from './bytes.ts'
import { VerificationError } from './errors.ts'
import { HASH_BYTES } from './merkle.ts'
import type { VerifierKey } from './verifier-key.ts'

/** First line of what is signed; no checkpoint begins so, hence neither can pass for the other. */
export const RECEIPT_TITLE = 'liftledger-receipt/v1'

export interface ReceiptContent {
  /** Name of the log and of its key. */
  readonly origin: string
  readonly index: number
  readonly leafHash: Uint8Array
  /** When it was signed, RFC 3339 in UTC with milliseconds. */
  readonly at: string
}

export interface Receipt extends ReceiptContent {
  /** Ed25519, 64 bytes. */
  readonly signature: Uint8Array
}

/** What a receipt’s signature is over: five lines. */
export function receiptBytes({ origin, index, leafHash, at }: ReceiptContent): Uint8Array {
  return utf8(`${RECEIPT_TITLE}\n${origin}\n${index}\n${toBase64(leafHash)}\n${at}\n`)
}

/** Throws `key-unknown` if the key is another log’s, `signature-wrong` if it did not sign this. */
export async function verifyReceipt(receipt: Receipt, key: VerifierKey): Promise<void> {
  const { origin, index, leafHash, at, signature } = receipt
  if (key.name !== origin || key.type !== 1) {
    throw new VerificationError('key-unknown', `The receipt is of the log '${origin}', the key is of '${key.name}'.`)
  }
  // A line break in a member would let two receipts have the same bytes.
  const readable =
    [origin, at].every((text) => !text.includes('\n')) && Number.isSafeInteger(index) && leafHash.length === HASH_BYTES
  if (!readable || !(await verifyEd25519(key.publicKey, receiptBytes(receipt), signature))) {
    throw new VerificationError(
      'signature-wrong',
      `The receipt for entry ${index} was not signed by the key of '${key.name}', or is not as it was signed.`,
    )
  }
}
