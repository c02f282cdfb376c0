/** SHA-256 as the service needs it: in one call, as a Buffer or in hexadecimal digits. */
import { createHash, hash } from 'node:crypto'

/** Bytes, or a text as its UTF-8. */
type Part = Uint8Array | string

/** SHA-256 (FIPS 180-4) of the parts one after the other. */
export function sha256(...parts: readonly Part[]): Buffer {
  const whole = joined(parts)
  return whole === undefined ? running(parts).digest() : hash('sha256', whole, 'buffer')
}

/** The same as 64 lower-case hexadecimal digits. */
export function sha256Hex(...parts: readonly Part[]): string {
  const whole = joined(parts)
  return whole === undefined ? running(parts).digest('hex') : hash('sha256', whole, 'hex')
}

/** Where short parts are put together: hashed in one call they cost a fraction of a running hash. */
const table = Buffer.allocUnsafeSlow(64 * 1024)
/** A character has at most three bytes of UTF-8 for each of its code units. */
const BYTES_OF_UNIT = 3

/** The parts as one, until the next call; undefined where they are too long for the table. */
function joined(parts: readonly Part[]): Part | undefined {
  if (parts.length === 1) return parts[0]!
  let at = 0
  for (const part of parts) {
    const most = typeof part === 'string' ? part.length * BYTES_OF_UNIT : part.length
    if (at + most > table.length) return undefined
    if (typeof part === 'string') at += table.write(part, at)
    else {
      table.set(part, at)
      at += part.length
    }
  }
  return table.subarray(0, at)
}

function running(parts: readonly Part[]) {
  const hashing = createHash('sha256')
  for (const part of parts) hashing.update(part)
  return hashing
}
