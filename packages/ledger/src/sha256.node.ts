/** SHA-256 where `node:crypto` is at hand; chosen by `#sha256` in package.json. */
import { createHash, hash } from 'node:crypto'

/** SHA-256 (FIPS 180-4) of the parts one after the other: 32 bytes. */
export function sha256(...parts: readonly Uint8Array[]): Uint8Array {
  // In one call where there is one part: half the cost for short ones.
  if (parts.length === 1) return plain(hash('sha256', parts[0]!, 'buffer'))
  const running = createHash('sha256')
  for (const part of parts) running.update(part)
  return plain(running.digest())
}

/** The same bytes without the platform's own kind of array around them. */
const plain = ({ buffer, byteOffset, length }: Buffer): Uint8Array => new Uint8Array(buffer, byteOffset, length)
