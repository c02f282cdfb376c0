/** SHA-256 as the service needs it: in one call, as a Buffer. */
import { hash } from 'node:crypto'

/** SHA-256 (FIPS 180-4) of the parts one after the other. */
export function sha256(...parts: readonly Uint8Array[]): Buffer {
  return hash('sha256', parts.length === 1 ? parts[0]! : Buffer.concat(parts), 'buffer')
}

/** The same as 64 lower-case hexadecimal digits. */
export function sha256Hex(...parts: readonly Uint8Array[]): string {
  return hash('sha256', parts.length === 1 ? parts[0]! : Buffer.concat(parts), 'hex')
}
