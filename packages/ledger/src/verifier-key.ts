/** Keys that signatures are held against, and the one line of text that such a key is passed on as (C2SP signed-note). */
import { sha256 } from '#sha256'
import { concat, fromBase64, toBase64, utf8 } from './bytes.ts'
import { VerificationError } from './errors.ts'

/** 1: Ed25519 over the text of a note. 4: a witness’s timestamped cosignature of a checkpoint (C2SP tlog-cosignature). */
export type SignatureType = 1 | 4

export interface VerifierKey {
  /** Of a log: its origin. No spaces, no plus sign. */
  readonly name: string
  /** First four bytes of SHA-256(name ‖ 0x0A ‖ type ‖ public key), big-endian. */
  readonly id: number
  /** Ed25519, 32 bytes. */
  readonly publicKey: Uint8Array
  readonly type: SignatureType
}

export interface Signer {
  readonly key: VerifierKey
  /** Ed25519 signature, 64 bytes. */
  sign(bytes: Uint8Array): Uint8Array
}

const PUBLIC_KEY_BYTES = 32
/** Unicode spaces and control characters, and the plus sign that parts a key’s text. */
const NOT_IN_NAMES = /[\s\p{Z}\p{Cc}+]/u

export const isKeyName = (name: string): boolean => name !== '' && !NOT_IN_NAMES.test(name) && name.isWellFormed()

/** A key with its id. Throws `key-malformed` for a name with spaces or plus signs, or a public key of another length. */
export function verifierKey(name: string, publicKey: Uint8Array, type: SignatureType = 1): VerifierKey {
  if (!isKeyName(name)) {
    throw new VerificationError(
      'key-malformed',
      `'${name}' can not name a key: a name has no spaces and no plus sign, and is not empty.`,
    )
  }
  if (publicKey.length !== PUBLIC_KEY_BYTES) {
    throw new VerificationError(
      'key-malformed',
      `The public key of '${name}' has ${publicKey.length} bytes; an Ed25519 key has ${PUBLIC_KEY_BYTES}.`,
    )
  }
  const digest = sha256(utf8(`${name}\n`), Uint8Array.of(type), publicKey)
  return { name, id: readUint32(digest), publicKey, type }
}

/** `name+id+key`: the id in hexadecimal, type and public key in base 64. */
export function formatVerifierKey({ name, id, publicKey, type }: VerifierKey): string {
  return `${name}+${id.toString(16).padStart(8, '0')}+${toBase64(concat([Uint8Array.of(type), publicKey]))}`
}

/** Reads what {@link formatVerifierKey} wrote. Throws `key-malformed`, which says what is wrong with it. */
export function parseVerifierKey(text: string): VerifierKey {
  const [name = '', id, ...encoded] = text.split('+')
  if (id === undefined || encoded.length === 0) throw malformed(text, 'it is not NAME+ID+KEY')
  // The base 64 of the key may hold plus signs itself.
  const bytes = fromBase64(encoded.join('+'))
  if (bytes === undefined) throw malformed(text, 'its last part is not base 64')
  const [type] = bytes
  if (type !== 1 && type !== 4) throw malformed(text, 'its type is neither 1 (Ed25519) nor 4 (cosignature)')
  const key = verifierKey(name, bytes.slice(1), type)
  const due = key.id.toString(16).padStart(8, '0')
  if (id !== due) throw malformed(text, `its id is '${id}', while name and key give ${due}: a letter may be wrong`)
  return key
}

function malformed(text: string, reason: string): VerificationError {
  return new VerificationError('key-malformed', `'${text}' is not a verifier key: ${reason}.`)
}

/** The first four bytes as a number, big-endian. */
export function readUint32(bytes: Uint8Array): number {
  return new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength).getUint32(0)
}
