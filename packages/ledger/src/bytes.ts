/** Bytes as text and back; only the one right spelling is read. */

const encoder = new TextEncoder()

export const utf8 = (text: string): Uint8Array => encoder.encode(text)

export function equalBytes(a: Uint8Array, b: Uint8Array): boolean {
  if (a.length !== b.length) return false
  for (let i = 0; i < a.length; i++) if (a[i] !== b[i]) return false
  return true
}

export function concat(parts: readonly Uint8Array[]): Uint8Array {
  const all = new Uint8Array(parts.reduce((length, part) => length + part.length, 0))
  let at = 0
  for (const part of parts) {
    all.set(part, at)
    at += part.length
  }
  return all
}

/** Base 64 (RFC 4648, 4) with padding. */
export function toBase64(bytes: Uint8Array): string {
  let binary = ''
  for (const byte of bytes) binary += String.fromCharCode(byte)
  return btoa(binary)
}

/** The bytes of a base 64 text; undefined if it is spelled in any other way than {@link toBase64} does. */
export function fromBase64(text: string): Uint8Array | undefined {
  if (!/^[A-Za-z0-9+/]*={0,2}$/.test(text) || text.length % 4 !== 0) return undefined
  const bytes = Uint8Array.from(atob(text), (character) => character.charCodeAt(0))
  // Bits behind the last byte could be anything, and two spellings would mean the same.
  return toBase64(bytes) === text ? bytes : undefined
}

/** Lower-case hexadecimal. */
export function toHex(bytes: Uint8Array): string {
  let text = ''
  for (const byte of bytes) text += byte.toString(16).padStart(2, '0')
  return text
}

/** The bytes of a lower-case hexadecimal text; undefined if it is none. */
export function fromHex(text: string): Uint8Array | undefined {
  if (text.length % 2 !== 0 || !/^[0-9a-f]*$/.test(text)) return undefined
  return Uint8Array.from({ length: text.length / 2 }, (_, i) => Number.parseInt(text.slice(2 * i, 2 * i + 2), 16))
}
