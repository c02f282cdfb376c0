/** SHA-256 as the service needs it: in one call, as a Buffer or in hexadecimal digits. */
import { createHash, hash } from 'node:crypto'

/** Bytes, or a text as its UTF-8. */
type Part = Uint8Array | string

/** SHA-256 (FIPS 180-4) of the parts one after the other. */
export function sha256(...parts: readonly Part[]): Buffer {
  return parts.length === 1 ? hash('sha256', parts[0]!, 'buffer') : running(parts).digest()
}

/** The same as 64 lower-case hexadecimal digits. */
export function sha256Hex(...parts: readonly Part[]): string {
  return parts.length === 1 ? hash('sha256', parts[0]!, 'hex') : running(parts).digest('hex')
}

function running(parts: readonly Part[]) {
  const hashing = createHash('sha256')
  for (const part of parts) hashing.update(part)
  return hashing
}
