/** SHA-256 (FIPS 180-4) where there is no `node:crypto`; chosen by `#sha256` in package.json. */
import { sha256 as digest } from '@noble/hashes/sha2.js'
import { toHex } from './bytes.ts'

/** Bytes, or a text as its UTF-8. */
type Part = Uint8Array | string

const utf8 = new TextEncoder()

/** SHA-256 of the parts one after the other: 32 bytes. */
export function sha256(...parts: readonly Part[]): Uint8Array {
  const hash = digest.create()
  for (const part of parts) hash.update(typeof part === 'string' ? utf8.encode(part) : part)
  return hash.digest()
}

/** The same as 64 lower-case hexadecimal digits. */
export function sha256Hex(...parts: readonly Part[]): string {
  return toHex(sha256(...parts))
}

/** The same of one part, written into `target` from a byte on. They may overlap. */
export function sha256Into(part: Uint8Array, target: Uint8Array, at: number): void {
  target.set(digest(part), at)
}
