/** The entry "./signing": keys that sign. For whoever keeps a log or witnesses one; a reader never needs it. */
import { createPrivateKey, createPublicKey, sign } from 'node:crypto'
import { VerificationError } from './errors.ts'
import { type Signer, verifierKey } from './verifier-key.ts'

const SEED_BYTES = 32
/** PKCS#8 of an Ed25519 key, up to the seed (RFC 8410, 7). */
const PKCS8_PREFIX = Uint8Array.from([
  0x30, 0x2e, 0x02, 0x01, 0x00, 0x30, 0x05, 0x06, 0x03, 0x2b, 0x65, 0x70, 0x04, 0x22, 0x04, 0x20,
])

/**
 * A signer from the 32 secret bytes of RFC 8032, 5.1.5. Type 1 signs notes of its own, type 4 is a witness.
 *
 * Throws `key-malformed` for a seed of another length or a name that a key can't have.
 */
export function ed25519Signer(name: string, seed: Uint8Array, type: 1 | 4 = 1): Signer {
  if (seed.length !== SEED_BYTES) {
    throw new VerificationError('key-malformed', `The seed of an Ed25519 key has 32 bytes; this has ${seed.length}.`)
  }
  const secret = createPrivateKey({ key: Buffer.concat([PKCS8_PREFIX, seed]), format: 'der', type: 'pkcs8' })
  const spki = createPublicKey(secret).export({ format: 'der', type: 'spki' })
  const key = verifierKey(name, new Uint8Array(spki.subarray(-SEED_BYTES)), type)
  return { key, sign: (bytes) => new Uint8Array(sign(null, bytes, secret)) }
}
