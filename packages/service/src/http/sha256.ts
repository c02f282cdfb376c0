/** SHA-256 as rows of the database have it: as a Buffer. */
import { sha256 as digest } from '@liftledger/ledger'

export { sha256Hex } from '@liftledger/ledger'

/** SHA-256 (FIPS 180-4) of the parts one after the other, a text as its UTF-8. */
export function sha256(...parts: readonly (Uint8Array | string)[]): Buffer {
  return Buffer.from(digest(...parts).buffer)
}
