/** SHA-256 where there is no `node:crypto`; chosen by `#sha256` in package.json. */
import { sha256 as digest } from '@noble/hashes/sha2.js'

/** SHA-256 (FIPS 180-4) of the parts one after the other: 32 bytes. */
export function sha256(...parts: readonly Uint8Array[]): Uint8Array {
  const hash = digest.create()
  for (const part of parts) hash.update(part)
  return hash.digest()
}
