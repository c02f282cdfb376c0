/** Ed25519 (RFC 8032) by WebCrypto; chosen by `#ed25519` in package.json. */

/** Whether a signature of 64 bytes over a message was made by the holder of a public key of 32. Throws where the browser has no Ed25519. */
export async function verifyEd25519(
  publicKey: Uint8Array,
  message: Uint8Array,
  signature: Uint8Array,
): Promise<boolean> {
  if (publicKey.length !== 32 || signature.length !== 64) return false
  let key: CryptoKey
  try {
    key = await crypto.subtle.importKey('raw', Uint8Array.from(publicKey), { name: 'Ed25519' }, false, ['verify'])
  } catch (cause) {
    if (cause instanceof DOMException && cause.name === 'NotSupportedError') {
      throw new Error('This browser can not check Ed25519 signatures; a newer one can.', { cause })
    }
    // Not a point of the curve.
    return false
  }
  return crypto.subtle.verify({ name: 'Ed25519' }, key, Uint8Array.from(signature), Uint8Array.from(message))
}
