/** Signed notes (C2SP signed-note): a text, an empty line, and a line for each signature. */
import { verifyEd25519 } from '#ed25519'
import { concat, fromBase64, toBase64, utf8 } from './bytes.ts'
import { VerificationError } from './errors.ts'
import { isKeyName, readUint32, type Signer, type VerifierKey } from './verifier-key.ts'

const DASH = '\u2014'
/** A note with more is refused; the text asks for 16 at least. */
const SIGNATURES_MAX = 64
const ED25519_BYTES = 64
const TIME_BYTES = 8

export interface NoteSignature {
  readonly name: string
  readonly id: number
  /** What stands behind the four bytes of the id. */
  readonly signature: Uint8Array
}

export interface Note {
  /** With the newline at its end, without the empty line. */
  readonly body: string
  readonly signatures: readonly NoteSignature[]
}

function insistOnText(text: string): void {
  for (let i = 0; i < text.length; i++) {
    if (text.charCodeAt(i) < 0x20 && text[i] !== '\n')
      throw malformed('it holds a control character other than a newline')
  }
  if (!text.isWellFormed()) throw malformed('it holds half a character')
}

/** A note over a body that ends in a newline, signed by each signer. Throws `note-malformed`. */
export function signNote(body: string, signers: readonly Signer[]): string {
  if (!body.endsWith('\n')) throw malformed('its text does not end in a newline')
  if (signers.length === 0) throw malformed('nobody signs it')
  insistOnText(body)
  return signers.reduce((note, signer) => note + signatureLine(signer.key, signer.sign(utf8(body))), `${body}\n`)
}

/** The note with one more signature, by a key of type 1. Throws `note-malformed`. */
export function addSignature(note: string, signer: Signer): string {
  return note + signatureLine(signer.key, signer.sign(utf8(parseNote(note).body)))
}

/**
 * The note with a witness’s cosignature (C2SP tlog-cosignature, Ed25519): `signer` has a key of type 4 and saw, at
 * that time, that this checkpoint continues all those of its log that it saw before. Throws `note-malformed`.
 */
export function cosign(note: string, signer: Signer, unixSeconds: number): string {
  if (signer.key.type !== 4) throw malformed(`the key of '${signer.key.name}' is not one for cosignatures`)
  if (!Number.isSafeInteger(unixSeconds) || unixSeconds < 0) throw malformed(`${unixSeconds} is not a time in seconds`)
  const time = new Uint8Array(TIME_BYTES)
  new DataView(time.buffer).setBigUint64(0, BigInt(unixSeconds))
  const signature = signer.sign(cosignedBytes(parseNote(note).body, BigInt(unixSeconds)))
  return note + signatureLine(signer.key, concat([time, signature]))
}

function cosignedBytes(body: string, seconds: bigint): Uint8Array {
  return utf8(`cosignature/v1\ntime ${seconds}\n${body}`)
}

function signatureLine({ name, id }: VerifierKey, signature: Uint8Array): string {
  const bytes = new Uint8Array(4 + signature.length)
  new DataView(bytes.buffer).setUint32(0, id)
  bytes.set(signature, 4)
  return `${DASH} ${name} ${toBase64(bytes)}\n`
}

/** When a cosignature was made, in seconds since 1970; undefined if it isn’t as long as one. */
export function cosignatureTime(signature: Uint8Array): bigint | undefined {
  if (signature.length !== TIME_BYTES + ED25519_BYTES) return undefined
  return new DataView(signature.buffer, signature.byteOffset).getBigUint64(0)
}

/** Body and signatures, of which none is checked yet. Throws `note-malformed`. */
export function parseNote(note: string): Note {
  insistOnText(note)
  const gap = note.lastIndexOf('\n\n')
  if (gap === -1) throw malformed('no empty line parts its text from the signatures')
  if (!note.endsWith('\n')) throw malformed('its last line does not end in a newline')
  const lines = note.slice(gap + 2, -1).split('\n')
  if (lines.length > SIGNATURES_MAX) {
    throw malformed(`it has ${lines.length} signatures; at most ${SIGNATURES_MAX} are read`)
  }
  return { body: note.slice(0, gap + 1), signatures: lines.map(parseSignatureLine) }
}

function parseSignatureLine(line: string, at: number): NoteSignature {
  const [dash, name = '', encoded = '', ...more] = line.split(' ')
  const bytes = fromBase64(encoded)
  if (dash !== DASH || !isKeyName(name) || bytes === undefined || bytes.length <= 4 || more.length > 0) {
    throw malformed(`its signature line ${at + 1} is not a dash, a key name and a signature in base 64`)
  }
  return { name, id: readUint32(bytes), signature: bytes.slice(4) }
}

/** Whether one signature of a note is its key’s. */
export async function signatureFits(
  body: string,
  { signature }: NoteSignature,
  { type, publicKey }: VerifierKey,
): Promise<boolean> {
  if (type === 1) return verifyEd25519(publicKey, utf8(body), signature)
  const seconds = cosignatureTime(signature)
  if (seconds === undefined || seconds >= 2n ** 63n) return false
  return verifyEd25519(publicKey, cosignedBytes(body, seconds), signature.slice(TIME_BYTES))
}

/**
 * Those of the given keys that signed a note, in the order of the keys. Signatures by other keys are passed over.
 *
 * Throws `note-malformed`; `signature-wrong` if a signature under one of the keys fails; `key-unknown` if none signed.
 */
export async function verifyNote(note: string, keys: readonly VerifierKey[]): Promise<VerifierKey[]> {
  const { body, signatures } = parseNote(note)
  const signed = new Set<VerifierKey>()
  for (const signature of signatures) {
    for (const key of keys) {
      if (key.name !== signature.name || key.id !== signature.id) continue
      if (!(await signatureFits(body, signature, key))) {
        throw new VerificationError(
          'signature-wrong',
          `The signature of '${key.name}' does not fit the text: it was not made by the given key, or the text is not the one that was signed.`,
        )
      }
      signed.add(key)
    }
  }
  if (signed.size === 0) {
    const names = [...new Set(signatures.map(({ name }) => `'${name}'`))].join(', ')
    throw new VerificationError(
      'key-unknown',
      `None of the ${keys.length} given keys signed; signatures are there of ${names}. Ask the keeper of the log for its verifier key.`,
    )
  }
  return keys.filter((key) => signed.has(key))
}

function malformed(reason: string): VerificationError {
  return new VerificationError('note-malformed', `The signed note can not be read: ${reason}.`)
}
