/**
 * API keys: `llk_<env>_<12 characters id>_<32 characters secret><6 characters checksum>`.
 *
 * The id looks the key up and is no secret. The secret has 190 random bits, so that a fast keyed hash is enough:
 * slow hashes defend secrets that can be guessed. The checksum lets the service, the client and secret scanners
 * refuse a typing error without asking the database.
 */
import { createHmac, randomBytes, timingSafeEqual } from 'node:crypto'
import { crc32 } from 'node:zlib'

export type KeyEnvironment = 'live' | 'demo'

export interface NewKey {
  /** The whole key; shown once, never stored. */
  readonly key: string
  readonly id: string
  /** What is stored. */
  readonly hash: Buffer
}

const BASE32 = '0123456789ABCDEFGHJKMNPQRSTVWXYZ'
const BASE62 = '0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz'
const FORM = /^(llk_(live|demo)_([0-9A-HJKMNP-TV-Z]{12})_[0-9A-Za-z]{32})([0-9A-Za-z]{6})$/

/** Makes a key. `pepper` is the service's own secret that goes into every hash. */
export function makeKey(environment: KeyEnvironment, pepper: string): NewKey {
  const id = drawId()
  const body = `llk_${environment}_${id}_${drawn(BASE62, 32)}`
  const key = body + checksum(body)
  return { key, id, hash: hashKey(key, pepper) }
}

/** Id of a new credential: 60 random bits. */
export function drawId(): string {
  return drawn(BASE32, 12)
}

/** Id of a well-formed key of this environment with a right checksum; undefined for anything else. */
export function keyIdOf(key: string, environment: KeyEnvironment): string | undefined {
  const parts = FORM.exec(key)
  if (parts === null || parts[2] !== environment || checksum(parts[1]!) !== parts[4]) return undefined
  return parts[3]
}

/** HMAC-SHA-256 of the whole key under the pepper. */
export function hashKey(key: string, pepper: string): Buffer {
  return createHmac('sha256', pepper).update(key).digest()
}

/** Whether two hashes are equal, in a time that doesn't depend on where they differ. */
export function sameHash(a: Uint8Array, b: Uint8Array): boolean {
  return a.length === b.length && timingSafeEqual(a, b)
}

/** CRC-32 in six base62 digits. */
function checksum(text: string): string {
  let rest = crc32(text)
  let digits = ''
  for (let position = 0; position < 6; position++) {
    digits = BASE62.charAt(rest % 62) + digits
    rest = Math.floor(rest / 62)
  }
  return digits
}

/** Characters drawn evenly: bytes beyond the last whole multiple of the alphabet are thrown away. */
function drawn(alphabet: string, length: number): string {
  const limit = 256 - (256 % alphabet.length)
  let text = ''
  while (text.length < length) {
    for (const byte of randomBytes(length)) {
      if (byte < limit && text.length < length) text += alphabet.charAt(byte % alphabet.length)
    }
  }
  return text
}
