/** SHA-256 where `node:crypto` is at hand; chosen by `#sha256` in package.json. */
import { createHash, hash } from 'node:crypto'

/** Where short parts are put together: hashed in one call they cost a fraction of a running hash. */
const table = Buffer.allocUnsafeSlow(8 * 1024)

/** SHA-256 (FIPS 180-4) of the parts one after the other: 32 bytes. */
export function sha256(...parts: readonly Uint8Array[]): Uint8Array {
  const whole = parts.length === 1 ? parts[0]! : joined(parts)
  if (whole !== undefined) return plain(hash('sha256', whole, 'buffer'))
  const running = createHash('sha256')
  for (const part of parts) running.update(part)
  return plain(running.digest())
}

/** The parts as one, until the next call; undefined where they are too long for the table. */
function joined(parts: readonly Uint8Array[]): Uint8Array | undefined {
  let at = 0
  for (const part of parts) {
    if (at + part.length > table.length) return undefined
    table.set(part, at)
    at += part.length
  }
  return table.subarray(0, at)
}

/** The same bytes without the platform's own kind of array around them. */
const plain = ({ buffer, byteOffset, length }: Buffer): Uint8Array => new Uint8Array(buffer, byteOffset, length)
