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

const BYTE_AS_HEX = Array.from({ length: 256 }, (_, byte) => byte.toString(16).padStart(2, '0'))

/** Lower-case hexadecimal. */
export function toHex(bytes: Uint8Array): string {
  let text = ''
  for (const byte of bytes) text += BYTE_AS_HEX[byte]
  return text
}

/** Value of a lower-case hexadecimal digit by its code; 255 for what is none. */
const HEX_VALUE = new Uint8Array(256).fill(255)
for (const [value, digit] of [...'0123456789abcdef'].entries()) HEX_VALUE[digit.charCodeAt(0)] = value

/** The bytes of a lower-case hexadecimal text; undefined if it is none. */
export function fromHex(text: string): Uint8Array | undefined {
  if (text.length % 2 !== 0) return undefined
  const bytes = new Uint8Array(text.length / 2)
  for (let i = 0; i < bytes.length; i++) {
    const high = HEX_VALUE[text.charCodeAt(2 * i)] ?? 255
    const low = HEX_VALUE[text.charCodeAt(2 * i + 1)] ?? 255
    if (high + low > 30) return undefined
    bytes[i] = high * 16 + low
  }
  return bytes
}

/** Whether `count` bytes in lower-case hexadecimal stand in `source` from a place on. */
export function isHexAt(source: Uint8Array, at: number, count: number): boolean {
  const end = at + 2 * count
  if (end > source.length) return false
  for (let i = at; i < end; i++) if (HEX_VALUE[source[i]!] === 255) return false
  return true
}

/** The `count` bytes that stand there, which {@link isHexAt} has seen. */
export function fromHexAt(source: Uint8Array, at: number, count: number): Uint8Array {
  const bytes = new Uint8Array(count)
  copyHex(source, at, count, bytes, 0)
  return bytes
}

/** Writes them into `target` from a byte on. */
export function copyHex(source: Uint8Array, at: number, count: number, target: Uint8Array, to: number): void {
  for (let i = 0; i < count; i++) {
    target[to + i] = HEX_VALUE[source[at + 2 * i]!]! * 16 + HEX_VALUE[source[at + 2 * i + 1]!]!
  }
}

/** Whether a text of ASCII stands in `source` from a byte on. */
export function standsAt(source: Uint8Array, at: number, text: string): boolean {
  for (let i = 0; i < text.length; i++) if (source[at + i] !== text.charCodeAt(i)) return false
  return true
}
