/** SHA-256 where `node:crypto` is at hand; chosen by `#sha256` in package.json. */
import { createHash } from 'node:crypto'

/** SHA-256 (FIPS 180-4) of the parts one after the other: 32 bytes. */
export function sha256(...parts: readonly Uint8Array[]): Uint8Array {
  const hash = createHash('sha256')
  for (const part of parts) hash.update(part)
  return new Uint8Array(hash.digest())
}
