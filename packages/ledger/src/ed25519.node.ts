/** Ed25519 (RFC 8032) where `node:crypto` is at hand; chosen by `#ed25519` in package.json. */
import { createPublicKey, verify } from 'node:crypto'

/** SubjectPublicKeyInfo of an Ed25519 key, up to the key itself (RFC 8410, 4). */
const SPKI_PREFIX = Uint8Array.from([0x30, 0x2a, 0x30, 0x05, 0x06, 0x03, 0x2b, 0x65, 0x70, 0x03, 0x21, 0x00])

/** Whether a signature of 64 bytes over a message was made by the holder of a public key of 32. Never throws. */
export async function verifyEd25519(
  publicKey: Uint8Array,
  message: Uint8Array,
  signature: Uint8Array,
): Promise<boolean> {
  if (publicKey.length !== 32 || signature.length !== 64) return false
  try {
    const key = createPublicKey({ key: Buffer.concat([SPKI_PREFIX, publicKey]), format: 'der', type: 'spki' })
    return verify(null, message, key, signature)
  } catch {
    // Not a point of the curve.
    return false
  }
}
